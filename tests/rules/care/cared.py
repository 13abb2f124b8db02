"""Invented animals under common practice for veiled chameleons (no source).

Young daily, then every other day, grown every two to three days; calcium at every
feeding but a multivitamin with D3 instead twice a month; insects fed 12 h before;
misted before lights-on and after lights-off.
"""

from dataclasses import replace
from datetime import UTC, date, datetime, time
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from husbandry.rules.care.facts import (
    CaredAnimal,
    CaredEnclosure,
    CaredRoom,
    CareFacts,
    ChoreFact,
    FeedingFact,
    LampFact,
    ObservationFact,
    OrderFact,
)
from husbandry.rules.profiles.values import (
    FeederNote,
    FeedingRule,
    GutLoadRule,
    LampRule,
    MistingRule,
    Provenance,
    Stage,
    SupplementRule,
    WarningSign,
    WeighingRule,
)
from husbandry.rules.profiles.vocabulary import FeederUse, SupplementWhen
from husbandry.rules.vocabulary import (
    ChoreKind,
    FeedingOrderKind,
    LampKind,
    Misting,
    MistingTime,
    ObservationKind,
    Sex,
    Standing,
    Urgency,
)
from tests.rules.night.builders import profile

LISBON = ZoneInfo("Europe/Lisbon")
PRACTICE = Provenance("common-practice", Standing.COMMON_PRACTICE, date(2026, 1, 1))
HATCHED_ON = date(2025, 6, 1)  # 270 days on 26 February 2026, 365 on 1 June
CALCIUM, VITAMIN_D3 = "plain-calcium", "multivitamin-d3"
YOUNG, SUBADULT, ADULT = "feeding-young", "feeding-subadult", "feeding-adult"


def feeder(name: str, use: FeederUse = FeederUse.STAPLE, age: int = 0) -> FeederNote:
    return FeederNote(name, name.title(), use, age, "", PRACTICE)


FEEDERS = (
    feeder("roaches"),
    feeder("crickets"),
    feeder("waxworms", FeederUse.TREAT, 180),
    feeder("silkworms"),
    feeder("locusts", age=400),
    feeder("dead", FeederUse.NEVER),
)
PROFILE = profile(
    stages=(
        Stage("juvenile", "Juvenile", 0, 270, PRACTICE),
        Stage("subadult", "Subadult", 270, 365, PRACTICE),
        Stage("adult", "Adult", 365, None, PRACTICE),
    ),
    feeding=(
        FeedingRule(YOUNG, ("juvenile",), 1, 1, 10, 15, "small insects", "", PRACTICE),
        FeedingRule(SUBADULT, ("subadult",), 2, 2, 10, 12, "insects", "", PRACTICE),
        FeedingRule(ADULT, ("adult",), 2, 3, 3, 4, "insects", "", PRACTICE),
    ),
    feeders=FEEDERS,
    supplements=(
        SupplementRule(
            CALCIUM, (), "Calcium", SupplementWhen.EVERY_FEEDING, (), None, "", PRACTICE
        ),
        SupplementRule(
            VITAMIN_D3,
            (),
            "Vitamins",
            SupplementWhen.MONTH_DAYS,
            (1, 15),
            CALCIUM,
            "",
            PRACTICE,
            contains_d3=True,
            most_a_month=2,
        ),
    ),
    weighing=(
        WeighingRule("weighing-young", ("juvenile",), 7, 14, PRACTICE),
        WeighingRule("weighing", (), 14, 28, PRACTICE),
    ),
    warning_signs=(
        WarningSign("sign-dark", "Dark stripes.", Urgency.TODAY, "Look.", PRACTICE),
    ),
    misting=(
        MistingRule("mist-early", (), MistingTime.BEFORE_LIGHTS_ON, 2, 4, "", PRACTICE),
        MistingRule("mist-late", (), MistingTime.AFTER_LIGHTS_OFF, 2, 4, "", PRACTICE),
    ),
    gut_load=GutLoadRule("gut-load", 12, 2, "", PRACTICE),
    lamps=(
        LampRule("lamp-uvb", LampKind.UVB_TUBE, 28, 2000, 6, "", PRACTICE),
        LampRule("lamp-heat", LampKind.HEAT, 28, None, 12, "", PRACTICE),
    ),
)


def animal(number: int = 1, **changes: Any) -> CaredAnimal:
    """A female at home since she hatched, nothing on record."""
    made = CaredAnimal(
        id=number,
        code=f"V-{number:04d}",
        label=f"V-{number:04d}",
        species=1,
        profile=PROFILE,
        sex=Sex.FEMALE,
        hatched_on=HATCHED_ON,
        arrived_on=HATCHED_ON,
        enclosure=1,
    )
    return replace(made, **changes)


def at_noon(on: date) -> datetime:
    return datetime.combine(on, time(12), tzinfo=UTC)


def feedings(*days: date) -> tuple[FeedingFact, ...]:
    return tuple(
        FeedingFact(n, at_noon(on), on, "crickets", 4, 4, (CALCIUM,), assisted=False)
        for n, on in enumerate(days)
    )


def order(
    kind: FeedingOrderKind, from_on: date, until_on: date, **changes: Any
) -> OrderFact:
    fast = kind is FeedingOrderKind.FAST
    made = OrderFact(
        id=1,
        kind=kind,
        from_on=from_on,
        until_on=until_on,
        every_days=None if fast else 2,
        portion=None if fast else 5,
        unit="" if fast else "mL",
        reason="On the vet's word.",
        by="vet",
    )
    return replace(made, **changes)


def observation(number: int, on: date, **changes: Any) -> ObservationFact:
    made = ObservationFact(
        id=number,
        at=at_noon(on),
        on=on,
        kind=ObservationKind.NOTE,
        sign="",
        observed=None,
        urates=None,
        eggs=None,
        look_again_on=None,
        note="",
    )
    return replace(made, **changes)


def enclosure(number: int = 1, room: int = 1, **changes: Any) -> CaredEnclosure:
    """Lights from 07:00 to 19:00, misted by hand."""
    made = CaredEnclosure(
        id=number,
        code=f"E-{number}",
        position=number,
        room=room,
        lights_on=time(7),
        lights_off=time(19),
        misting=Misting.BY_HAND,
        laying_bin=True,
    )
    return replace(made, **changes)


def lamp(number: int = 1, **changes: Any) -> LampFact:
    made = LampFact(
        id=number,
        kind=LampKind.UVB_TUBE,
        label="T5",
        fitted_on=date(2026, 1, 1),
        burnt_hours=0.0,
        checked_on=(),
        last_uv_index=Decimal("3.0"),
    )
    return replace(made, **changes)


def chore(kind: ChoreKind, at: datetime, **where: Any) -> ChoreFact:
    place = {"enclosure": None, "room": None, "feeder": ""} | where
    return ChoreFact(kind=kind, at=at, on=at.astimezone(LISBON).date(), **place)


def facts(*animals: CaredAnimal, **changes: Any) -> CareFacts:
    """One room, one enclosure, no kind of care recorded yet."""
    made = CareFacts(
        zone=LISBON,
        site=1,
        from_on=date(2026, 3, 1),
        until_on=date(2026, 3, 1),
        since_on=date(2025, 12, 1),
        animals=animals,
        enclosures={1: enclosure()},
        rooms={1: CaredRoom(1, "main", "Main", 0, quarantine=False)},
        chores=(),
        first_recorded_on={},
    )
    return replace(made, **changes)
