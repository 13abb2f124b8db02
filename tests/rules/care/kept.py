"""A small invented place: who is kept, what is on record, what was due.

The figures are those of common practice for veiled chameleons, no source: young ones
daily 10 to 15 insects, grown ones 3 to 4 every 2 to 3 days (K11 of the trade's list);
plain calcium at every feeding, a multivitamin with D3 instead on the 1st and the 15th
(K14).
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from husbandry.rules.care.facts import (
    CaredAnimal,
    CaredEnclosure,
    CaredRoom,
    CareFacts,
    FeedingFact,
    LampFact,
    OrderFact,
)
from husbandry.rules.care.tasks import CareTask, FeedPlan
from husbandry.rules.profiles.values import (
    FeedingRule,
    GutLoadRule,
    LampRule,
    Profile,
    Provenance,
    Stage,
    SupplementRule,
)
from husbandry.rules.profiles.vocabulary import SupplementWhen
from husbandry.rules.vocabulary import (
    FeedingOrderKind,
    LampKind,
    Misting,
    Sex,
    Standing,
    TaskKind,
)
from tests.rules.night.builders import profile

ZONE = ZoneInfo("Europe/Berlin")
ON = date(2026, 11, 24)
A_DAY = timedelta(1)
PRACTICE = Provenance("common-practice", Standing.COMMON_PRACTICE, date(2026, 1, 10))
YOUNG = FeedingRule(
    "feeding-young", ("young",), 1, 1, 10, 15, "small insects", "", PRACTICE
)
ADULT = FeedingRule("feeding-adult", ("adult",), 2, 3, 3, 4, "insects", "", PRACTICE)
CALCIUM = SupplementRule(
    id="calcium",
    stages=(),
    name="Plain calcium",
    when=SupplementWhen.EVERY_FEEDING,
    month_days=(),
    instead_of=None,
    text="",
    provenance=PRACTICE,
)
MULTI = SupplementRule(
    id="multi-d3",
    stages=(),
    name="Multivitamin with vitamin D3",
    when=SupplementWhen.MONTH_DAYS,
    month_days=(1, 15),
    instead_of="calcium",
    text="",
    provenance=PRACTICE,
    contains_d3=True,
    most_a_month=2,
)
GUT_LOAD = GutLoadRule("gut-load", 12, 2, "", PRACTICE)
TUBE = LampRule("uvb-tube", LampKind.UVB_TUBE, 30, 4000, 12, "", PRACTICE)
PROFILE = profile(
    stages=(
        Stage("young", "Young", 0, 365, PRACTICE),
        Stage("adult", "Adult", 365, None, PRACTICE),
    ),
    feeding=(YOUNG, ADULT),
    supplements=(CALCIUM, MULTI),
    gut_load=GUT_LOAD,
    lamps=(TUBE,),
)


def day(number: int, month: int = 11) -> date:
    """A day of 2026, of November if not told."""
    return date(2026, month, number)


def days(first: date, last: date) -> tuple[date, ...]:
    """Every day from one to another, both included."""
    return tuple(first + timedelta(n) for n in range((last - first).days + 1))


def animal(**changes: Any) -> CaredAnimal:
    """A hatchling of a hundred days, here since it hatched, of which nothing is told."""
    return replace(
        CaredAnimal(
            id=1,
            code="V-0417",
            label="V-0417 Juno",
            species=1,
            profile=PROFILE,
            sex=Sex.FEMALE,
            hatched_on=ON - timedelta(100),
            arrived_on=ON - timedelta(100),
            enclosure=7,
        ),
        **changes,
    )


def grown(**changes: Any) -> CaredAnimal:
    """An adult that came here long ago."""
    return animal(hatched_on=date(2024, 1, 1), arrived_on=date(2025, 1, 1), **changes)


def fed(
    *on: date, dust: tuple[str, ...] = ("calcium",), **changes: Any
) -> tuple[FeedingFact, ...]:
    """Feedings at ten in the morning of each day."""
    return tuple(
        replace(
            FeedingFact(
                id=n,
                at=datetime.combine(at, time(10), tzinfo=ZONE),
                on=at,
                feeder="crickets",
                offered=12,
                eaten=10,
                supplements=dust,
                assisted=False,
            ),
            **changes,
        )
        for n, at in enumerate(on, 1)
    )


def order(
    kind: FeedingOrderKind, from_on: date, until_on: date, every_days: int | None = None
) -> OrderFact:
    """What a vet agreed about one animal's food."""
    return OrderFact(
        1, kind, from_on, until_on, every_days, None, "", "before surgery", "R. Vet"
    )


def feed_task(due_on: date, *, done_on: date | None = None, **changes: Any) -> CareTask:
    """A feeding of the hatchling, open if not told when it was done."""
    return replace(
        CareTask(
            key=f"feed:animal:1:{due_on}",
            kind=TaskKind.FEED,
            due_on=due_on,
            due_at=None,
            animal=1,
            enclosure=None,
            room=None,
            plan=FeedPlan("crickets", "Crickets", 10, 15, "small insects", ()),
            done_on=done_on,
            rule_id="feeding-young",
            provenance=PRACTICE,
        ),
        **changes,
    )


def enclosure(*lamps: LampFact, misting: Misting = Misting.BY_HAND) -> CaredEnclosure:
    """The enclosure of the animal."""
    return CaredEnclosure(
        7, "N-12", 1, 3, time(7), time(19), misting, laying_bin=False, lamps=lamps
    )


def lamp(**changes: Any) -> LampFact:
    """A new tube that was just measured."""
    return replace(
        LampFact(
            id=5,
            kind=LampKind.UVB_TUBE,
            label="T5 tube, left",
            fitted_on=day(1),
            burnt_hours=276.0,
            checked_on=(),
            last_uv_index=None,
        ),
        **changes,
    )


def facts(
    *animals: CaredAnimal,
    on: date = ON,
    enclosures: Iterable[CaredEnclosure] = (enclosure(),),
    **changes: Any,
) -> CareFacts:
    """What is on record of the place; every kind of care since January."""
    recorded = (
        TaskKind.FEED,
        TaskKind.MIST,
        TaskKind.GUT_LOAD,
        TaskKind.UV_CHECK,
        TaskKind.LAMP_CHANGE,
    )
    return replace(
        CareFacts(
            zone=ZONE,
            site=1,
            from_on=on - timedelta(6),
            until_on=on,
            since_on=on - timedelta(68),
            animals=animals,
            enclosures={e.id: e for e in enclosures},
            rooms={3: CaredRoom(3, "N", "Nursery", 1, quarantine=False)},
            chores=(),
            first_recorded_on=dict.fromkeys(recorded, date(2026, 1, 2)),
        ),
        **changes,
    )


def small_profile(**changes: Any) -> Profile:
    """The profile with some sections changed."""
    return replace(PROFILE, **changes)


def mass(text: str) -> Decimal:
    """A number as it was typed."""
    return Decimal(text)
