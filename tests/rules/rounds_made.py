"""A room and its animals as values, and tasks for them, for tests of rounds."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time
from decimal import Decimal
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

from husbandry.rules.care.facts import (
    CaredAnimal,
    CaredEnclosure,
    CaredRoom,
    CareFacts,
    OrderFact,
)
from husbandry.rules.care.tasks import (
    CareTask,
    DosePlan,
    FeedPlan,
    GutLoadPlan,
    LampPlan,
    LookPlan,
    MistPlan,
    Plan,
    Supplement,
    WeighPlan,
)
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.values import Profile, Provenance, SettlingRule
from husbandry.rules.round_sheets import (
    RoundFinding,
    RoundPlace,
    RoundProfile,
    RoundSheet,
)
from husbandry.rules.rounds import build_round_sheet
from husbandry.rules.vocabulary import (
    FeedingOrderKind,
    FindingKind,
    LampKind,
    Misting,
    MistingTime,
    Route,
    Sex,
    Standing,
    TaskKind,
    Urgency,
)
from husbandry.rules.weights import WeighingPoint
from tests.factories import SHIPPED_PROFILE

ON = date(2026, 3, 2)
AT = datetime(2026, 3, 2, 6, 10, tzinfo=UTC)
ZONE = ZoneInfo("Europe/Lisbon")
ROOM = CaredRoom(1, "nursery", "Nursery rack", 0, quarantine=False)
PRACTICE = Provenance("common-practice", Standing.COMMON_PRACTICE, date(2026, 1, 1))
FEED = FeedPlan(
    feeder="feeder-crickets",
    feeder_name="Crickets",
    portion_low=10,
    portion_high=15,
    unit="small insects",
    supplements=(Supplement("plain-calcium", "Plain calcium without vitamin D3"),),
)
MIST = MistPlan(MistingTime.BEFORE_LIGHTS_ON, 2, 5)
GUT_LOAD = GutLoadPlan("feeder-crickets", "Crickets", 120, 180, 12, date(2026, 3, 3))
WEIGH = WeighPlan(7, Decimal("101.50"), date(2026, 2, 23))
LAMP = LampPlan(
    lamp=1,
    kind=LampKind.UVB_TUBE,
    label="T5, 6 %",
    fitted_on=date(2025, 3, 1),
    burnt_hours=4391.6,
    last_on=date(2026, 1, 3),
)
DOSE = DosePlan(
    prescription=1,
    drug="Invented syrup",
    route=Route.BY_MOUTH,
    vet="a licensed vet of the tests",
    due_at=datetime(2026, 3, 2, 9, 0, tzinfo=UTC),
    volume_ml=Decimal("0.10"),
    refusal="",
    mass_g=Decimal("101.50"),
    weighed_on=date(2026, 3, 1),
)
LOOK = LookPlan(5, date(2026, 2, 27), "swollen eye")


@cache
def profile() -> Profile:
    """The shipped one, where newcomers are left alone for fourteen days."""
    shipped = read_profile(SHIPPED_PROFILE.read_text(encoding="utf-8"), name="shipped")
    rule = SettlingRule("settling", 14, "Leave it alone.", PRACTICE)
    return replace(shipped, settling=rule)


def animal(number: int = 1, **changes: Any) -> CaredAnimal:
    """An adult female in the enclosure of the same number, here for long."""
    code = f"V-{number:04d}"
    made = CaredAnimal(
        id=number,
        code=code,
        label=f"{code} Juno",
        species=1,
        profile=profile(),
        sex=Sex.FEMALE,
        hatched_on=date(2024, 9, 1),
        arrived_on=date(2025, 1, 1),
        enclosure=number,
        last_weighing=WeighingPoint(
            1, datetime(2026, 2, 23, 9, tzinfo=UTC), Decimal("101.50")
        ),
    )
    return replace(made, **changes)


def enclosure(number: int = 1, **changes: Any) -> CaredEnclosure:
    made = CaredEnclosure(
        id=number,
        code=f"N-{number:02d}",
        position=number,
        room=ROOM.id,
        lights_on=time(7),
        lights_off=time(19),
        misting=Misting.BY_HAND,
        laying_bin=True,
    )
    return replace(made, **changes)


def task(
    kind: TaskKind = TaskKind.FEED,
    plan: Plan = FEED,
    *,
    due_on: date = ON,
    animal: int | None = 1,
    enclosure: int | None = None,
    room: int | None = None,
    due_at: datetime | None = None,
    done_on: date | None = None,
) -> CareTask:
    """A task; of an animal unless an enclosure or a room is named."""
    if enclosure is not None or room is not None:
        animal = None
    return CareTask(
        key=f"{kind}:{animal or enclosure or room}:{due_on}",
        kind=kind,
        due_on=due_on,
        due_at=due_at,
        animal=animal,
        enclosure=enclosure,
        room=room,
        plan=plan,
        done_on=done_on,
        rule_id=f"{kind}-rule",
        provenance=PRACTICE,
    )


def facts(
    animals: Sequence[CaredAnimal],
    enclosures: Sequence[CaredEnclosure] | None = None,
    *,
    room: CaredRoom = ROOM,
    recorded: date | None = date(2026, 1, 1),
) -> CareFacts:
    standing = enclosures or [enclosure(a.enclosure) for a in animals if a.enclosure]
    return CareFacts(
        zone=ZONE,
        site=1,
        from_on=date(2026, 2, 24),
        until_on=ON,
        since_on=date(2025, 12, 1),
        animals=tuple(animals),
        enclosures={e.id: e for e in standing},
        rooms={room.id: room},
        chores=(),
        first_recorded_on=dict.fromkeys(TaskKind, recorded) if recorded else {},
    )


def finding(number: int = 1, **changes: Any) -> RoundFinding:
    made = RoundFinding(
        id=number,
        kind=FindingKind.WEIGHING_OVERDUE,
        urgency=Urgency.WATCH,
        opened_on=date(2026, 3, 1),
        evidence={
            "animal": "V-0001 Juno",
            "room": "Nursery rack",
            "enclosure": "N-01",
            "every_days": 7,
            "last_on": "2026-02-01",
            "days": 29,
            "last_g": "101.0",
        },
        animal=1,
        enclosure=1,
    )
    return replace(made, **changes)


def sheet(
    found: CareFacts,
    tasks: Sequence[CareTask] = (),
    *,
    findings: Sequence[RoundFinding] = (),
    room: CaredRoom = ROOM,
    night: date | None = date(2026, 3, 1),
) -> RoundSheet:
    return build_round_sheet(
        found,
        tasks,
        place=RoundPlace("a", "Willow Bend", room, ZONE),
        on=ON,
        made_at=AT,
        findings=findings,
        night=night,
        profiles=(RoundProfile("Veiled chameleon", 1),),
    )


def fast(from_on: date, until_on: date, by: str = "A. Vet") -> OrderFact:
    return OrderFact(
        *(1, FeedingOrderKind.FAST, from_on, until_on, None, None, ""),
        reason="Surgery.",
        by=by,
    )
