"""The demo's pairs, clutches and eggs: tables, invented.

Days are counted back from the last night; an egg's days from laying.
"""

from dataclasses import dataclass, field
from decimal import Decimal

from clutches.rules.vocabulary import FailureCause


@dataclass(frozen=True, slots=True)
class MetPlan:
    """A pair that was put together and mated."""

    dam: str
    sire: str
    days_ago: int


@dataclass(frozen=True, slots=True)
class BoxPlan:
    """A box, and on which nights somebody looked into it."""

    code: str
    incubator: str
    checked_nights: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class ClutchPlan:
    """A clutch, and what became of its eggs.

    Attributes:
        sires: codes of all that the female had met; none: no male.
        hatched: how many eggs hatched on which day after laying.
        failed: (first egg's number, how many, cause, day after laying).
        young: codes of animals on record that hatched from eggs 1, 2, …
        box: code; "": it was hatched before boxes were written down.
        candled: (day after laying, first egg without vessels); None: nobody did.
    """

    code: str
    dam: str
    sires: tuple[str, ...]
    days_ago: int
    eggs_set: int
    infertile: int = 0
    broken: int = 0
    mass_g: Decimal | None = None
    hatched: dict[int, int] = field(default_factory=dict)
    failed: tuple[tuple[int, int, FailureCause, int], ...] = ()
    young: tuple[str, ...] = ()
    box: str = ""
    candled: tuple[int, int] | None = None
    note: str = ""


C = FailureCause

MET = (
    MetPlan("V-0201", "V-0101", 548),
    MetPlan("V-0203", "V-0103", 430),
    MetPlan("V-0204", "V-0102", 394),
    MetPlan("V-0202", "V-0102", 306),
    MetPlan("V-0203", "V-0103", 205),
    # She met two males within three days: nobody knows which is the sire.
    MetPlan("V-0204", "V-0101", 76),
    MetPlan("V-0204", "V-0102", 73),
    MetPlan("V-0201", "V-0103", 30),
    # The window closed the day before the last night.
    MetPlan("V-0203", "V-0103", 37),
)

BOXES = (
    BoxPlan("B-1", "I-1", (-6, 1, 8)),
    # Looked into when it was candled, and by nobody since.
    BoxPlan("B-2", "I-2", ()),
)

CLUTCHES = (
    ClutchPlan(
        code="C-01",
        dam="V-0201",
        sires=("V-0101",),
        days_ago=515,
        eggs_set=24,
        infertile=2,
        mass_g=Decimal("31.4"),
        hatched={201: 3, 203: 6, 205: 7, 207: 3, 208: 1},
        failed=((21, 2, C.MOULD, 95), (23, 2, C.DIED_IN_EGG, 196)),
        note="From the notebook.",
    ),
    ClutchPlan(
        code="C-02",
        dam="V-0203",
        sires=("V-0103",),
        days_ago=400,
        eggs_set=22,
        broken=1,
        mass_g=Decimal("28.9"),
        hatched={209: 4, 211: 8, 213: 4, 216: 2},
        failed=((19, 4, C.INFERTILE, 96),),
        note="From the notebook.",
    ),
    ClutchPlan(
        code="C-03",
        dam="V-0204",
        sires=("V-0102",),
        days_ago=365,
        eggs_set=20,
        mass_g=Decimal("25.7"),
        hatched={199: 5, 201: 7, 204: 4, 205: 1},
        failed=((18, 3, C.COLLAPSED, 60),),
        note="From the notebook.",
    ),
    ClutchPlan(
        code="C-04",
        dam="V-0202",
        sires=("V-0102",),
        days_ago=278,
        eggs_set=16,
        infertile=1,
        mass_g=Decimal("21.0"),
        hatched={198: 12},
        failed=((13, 3, C.MOULD, 120), (16, 1, C.DIED_IN_EGG, 194)),
        young=tuple(f"V-04{number:02d}" for number in range(1, 13)),
        note="From the notebook.",
    ),
    ClutchPlan(
        code="C-05",
        dam="V-0203",
        sires=("V-0103",),
        days_ago=178,
        eggs_set=28,
        infertile=3,
        mass_g=Decimal("38.2"),
        failed=((27, 2, C.INFERTILE, 101),),
        box="B-1",
        candled=(95, 27),
    ),
    # Laid without a male that she met: as normal as any other laying.
    ClutchPlan(
        code="C-06",
        dam="V-0202",
        sires=(),
        days_ago=62,
        eggs_set=0,
        infertile=9,
        mass_g=Decimal("9.8"),
    ),
    ClutchPlan(
        code="C-07",
        dam="V-0204",
        sires=("V-0101", "V-0102"),
        days_ago=45,
        eggs_set=23,
        mass_g=Decimal("29.6"),
        box="B-2",
        # All of them still rest: no vessels says nothing yet.
        candled=(28, 1),
    ),
)

# Two people looked at each of the clutch of twelve; at one of them only one did.
LOOKED_AT_ONCE = "V-0409"
