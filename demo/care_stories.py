"""What is left undone, and what is seen, in the demo's fortnight of care: a table."""

from dataclasses import dataclass
from datetime import time
from decimal import Decimal

from husbandry.rules.vocabulary import (
    MistingTime,
    ObservationKind,
    Observed,
    TaskKind,
    Urates,
)

SEEN_AT = time(17, 30)


@dataclass(frozen=True, slots=True)
class Left:
    """A care task that nobody did.

    Attributes:
        subject: code of the animal, enclosure or room.
        time: of misting only.
    """

    kind: TaskKind
    subject: str
    night: int
    time: MistingTime | None = None


@dataclass(frozen=True, slots=True)
class Seen:
    """Something that the keeper saw and wrote down."""

    animal: str
    night: int
    kind: ObservationKind
    observed: Observed | None = None
    sign: str = ""
    urates: Urates | None = None
    look_again_night: int | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Course:
    """A medicine as the demo's vet prescribed it: drug and dose are invented.

    Attributes:
        missed_night: whose dose nobody gave nor wrote off.
    """

    animal: str
    drug: str
    mg_per_kg: Decimal
    mg_per_ml: Decimal
    first_night: int
    last_night: int
    missed_night: int
    reason: str


@dataclass(frozen=True, slots=True)
class Sample:
    """A sample that went to a laboratory, and the night of its result."""

    animal: str
    taken_night: int
    expected_night: int
    result_night: int


LEFT = (
    Left(TaskKind.FEED, "V-0410", 7),
    Left(TaskKind.GUT_LOAD, "nursery", 9),
    Left(TaskKind.MIST, "Q-02", 5, MistingTime.AFTER_LIGHTS_OFF),
)
# From this night on these eat nothing of what they are offered.
REFUSES = {"V-0201": (10, 14), "V-0501": (4, 8)}

SEEN = (
    Seen(
        "V-0201", 12, ObservationKind.ALERTNESS, Observed.BRIGHT,
        note="Climbs about, looks at the insects and lets them be.",
    ),
    Seen("V-0201", 14, ObservationKind.ALERTNESS, Observed.BRIGHT),
    Seen("V-0101", 6, ObservationKind.SHED, Observed.IN_PATCHES),
    Seen("V-0101", 8, ObservationKind.SHED, Observed.WHOLE),
    Seen(
        "V-0502", 5, ObservationKind.SIGN, Observed.PRESENT, sign="sign-eyes-closed",
        look_again_night=8, note="Eyes shut at noon, two hours after feeding.",
    ),
    Seen("V-0502", 7, ObservationKind.SIGN, Observed.GONE, sign="sign-eyes-closed"),
    Seen("V-0502", 10, ObservationKind.NOTE, note="Awake and on the move all day."),
    Seen(
        "V-0501", 9, ObservationKind.DROPPINGS, Observed.FORMED, urates=Urates.WHITE,
    ),
    Seen("V-0302", 11, ObservationKind.CONDITION, Observed.GOOD),
)  # fmt: skip

COURSE = Course(
    animal="V-0503",
    drug="Invented syrup A",
    mg_per_kg=Decimal(20),
    mg_per_ml=Decimal(1),
    first_night=6,
    last_night=12,
    missed_night=10,
    reason="A scrape on the left flank; seen and treated by the vet on her visit.",
)
SAMPLE = Sample("V-0501", taken_night=3, expected_night=10, result_night=13)
MISTED_BY_HAND = frozenset({"Q-02"})
LENGTHS_CM = {"V-0301": ("19.5", "46.0"), "V-0302": ("15.5", "33.5")}
