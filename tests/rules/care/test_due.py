"""Everything that falls due at a site: its order, its bounds, its laws."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from husbandry.rules.care.due import standing_tasks, tasks_due, tasks_of_animal
from husbandry.rules.care.facts import (
    CaredAnimal,
    CaredRoom,
    CareFacts,
    DoseFact,
    PrescriptionFact,
    TestFact,
)
from husbandry.rules.care.tasks import CareTask, DosePlan
from husbandry.rules.profiles.values import DosingPolicy
from husbandry.rules.vocabulary import (
    ChoreKind,
    DoseOutcome,
    DoseUnit,
    FeedingOrderKind,
    HealthTestKind,
    HealthTestResult,
    Misting,
    Route,
    TaskKind,
)
from husbandry.rules.weights import WeighingPoint
from tests.rules.care.cared import (
    LISBON,
    PRACTICE,
    PROFILE,
    animal,
    chore,
    enclosure,
    facts,
    feedings,
    lamp,
    observation,
    order,
)

ON = date(2026, 3, 2)
DAY = timedelta(1)
AWAITED = TestFact(
    id=4,
    kind=HealthTestKind.BLOOD,
    taken_on=ON - 9 * DAY,
    expected_on=ON,
    result=HealthTestResult.AWAITED,
    result_on=None,
    finding="",
    seen_by_vet_on=None,
)


def syrup(**changes: object) -> PrescriptionFact:
    """An invented drug: 10 mg/kg of 10 mg/mL, that is 1 mL a kilogram, twice a day."""
    made = PrescriptionFact(
        id=3,
        drug="Invented syrup",
        dose_per_kg=Decimal(10),
        dose_unit=DoseUnit.MG_PER_KG,
        concentration_mg_per_ml=Decimal(10),
        route=Route.BY_MOUTH,
        every_hours=12,
        first_at=datetime(2026, 3, 1, 8, tzinfo=UTC),
        until_on=date(2026, 3, 9),
        smallest_step_ml=Decimal("0.01"),
        vet="A licensed vet",
        stopped_at=None,
        doses=(),
    )
    return replace(made, **changes)  # type: ignore[arg-type]


def on_day(
    known: CareFacts, on: date = ON, asked_on: date | None = None
) -> tuple[CareTask, ...]:
    return tasks_due(known, from_on=on, until_on=on, asked_on=asked_on)


def test_within_a_room_those_in_quarantine_are_cared_for_last() -> None:
    known = facts(
        animal(1, arrived_on=ON, enclosure=1, kept_apart_since=ON),
        animal(2, arrived_on=ON, enclosure=2),
        enclosures={n: enclosure(n, room=1, position=n) for n in (1, 2)},
    )

    weighed = [t for t in on_day(known) if t.kind is TaskKind.WEIGH]

    assert [t.animal for t in weighed] == [2, 1]


def test_a_site_is_walked_in_order_quarantine_last() -> None:
    rooms = {
        1: CaredRoom(1, "sick", "Quarantine", 0, quarantine=True),
        2: CaredRoom(2, "b", "B", 2, quarantine=False),
        3: CaredRoom(3, "a", "A", 1, quarantine=False),
    }
    enclosures = {
        1: enclosure(1, room=1),
        2: enclosure(2, room=2),
        3: enclosure(3, room=3, position=9),
        4: enclosure(4, room=3, position=8, misting=Misting.BY_TIMER),
    }
    # Nobody is fed on 2 March but the young; every animal is weighed on its first day.
    known = facts(
        animal(1, arrived_on=ON, enclosure=1, tests=(AWAITED,)),
        animal(2, arrived_on=ON, enclosure=2),
        animal(9, arrived_on=ON, enclosure=3),
        animal(3, arrived_on=ON, enclosure=4, code="V-0010"),
        animal(4, arrived_on=ON, enclosure=4),
        animal(5, arrived_on=ON, enclosure=None),
        enclosures=enclosures,
        rooms=rooms,
    )

    tasks = on_day(known)

    assert [
        (t.kind.value, t.room or t.enclosure or t.animal)
        for t in tasks
        if t.kind is not TaskKind.GUT_LOAD
    ] == [
        ("feed", 4),
        ("weigh", 4),
        ("feed", 3),
        ("weigh", 3),
        ("mist", 3),
        ("mist", 3),
        ("feed", 9),
        ("weigh", 9),
        ("mist", 2),
        ("mist", 2),
        ("feed", 2),
        ("weigh", 2),
        ("mist", 1),
        ("mist", 1),
        ("feed", 1),
        ("weigh", 1),
        ("test_result", 1),
        ("feed", 5),
        ("weigh", 5),
    ]


def test_what_is_for_a_room_comes_before_its_enclosures() -> None:
    young = animal(hatched_on=date(2026, 1, 1), arrived_on=date(2026, 1, 1))

    tasks = on_day(facts(young))

    assert [task.kind for task in tasks] == [
        TaskKind.GUT_LOAD,
        TaskKind.MIST,
        TaskKind.MIST,
        TaskKind.FEED,
    ]


@pytest.mark.parametrize(
    ("first_on", "expected"),
    [(None, [2, 4]), (ON, [2, 4]), (date(2026, 3, 3), [4]), (date(2026, 3, 9), [])],
)
def test_a_kind_is_judged_from_the_day_it_was_first_recorded(
    first_on: date | None, expected: list[int]
) -> None:
    recorded = {} if first_on is None else {TaskKind.FEED: first_on}

    tasks = tasks_due(
        facts(animal(), first_recorded_on=recorded), from_on=ON, until_on=ON + 3 * DAY
    )

    assert [t.due_on.day for t in tasks if t.kind is TaskKind.FEED] == expected
    assert sum(t.kind is TaskKind.MIST for t in tasks) == 8


def test_before_arrival_and_out_of_order_nothing_is_due() -> None:
    known = facts(animal(arrived_on=ON, enclosure=1))

    # The evening before, insects are fed for its first day.
    assert tasks_due(known, from_on=ON - 9 * DAY, until_on=ON - 2 * DAY) == ()
    assert [t.kind for t in on_day(known, ON - DAY)] == [TaskKind.GUT_LOAD]
    assert tasks_due(known, from_on=ON, until_on=ON - DAY) == ()
    assert tasks_due(facts(), from_on=ON, until_on=ON) == ()


def test_for_what_has_not_hatched_nobody_mists() -> None:
    early = animal(hatched_on=ON + 2 * DAY, arrived_on=ON)
    nowhere = chore(ChoreKind.MISTING, datetime(2026, 3, 2, 6, tzinfo=UTC))

    tasks = tasks_due(
        facts(early, chores=(nowhere,)), from_on=ON, until_on=ON + 2 * DAY
    )

    assert {t.due_on for t in tasks if t.kind is TaskKind.MIST} == {ON + 2 * DAY}


def test_without_a_profile_only_what_people_ordered_is_due() -> None:
    cared = animal(
        profile=None,
        prescriptions=(syrup(),),
        tests=(AWAITED,),
        observations=(observation(1, ON - DAY, look_again_on=ON),),
        orders=(order(FeedingOrderKind.RHYTHM, ON, ON, unit="insects"),),
    )

    tasks = on_day(facts(cared, enclosures={1: enclosure(lamps=(lamp(),))}))

    assert [task.kind for task in tasks] == [
        TaskKind.FEED,
        TaskKind.DOSE,
        TaskKind.DOSE,
        TaskKind.FOLLOW_UP,
        TaskKind.TEST_RESULT,
    ]


def test_doses_say_how_much_or_why_not_and_what_became_of_them() -> None:
    given = DoseFact(
        id=1,
        due_at=datetime(2026, 3, 2, 8, tzinfo=UTC),
        at=datetime(2026, 3, 2, 8, 10, tzinfo=UTC),
        outcome=DoseOutcome.GIVEN,
        volume_ml=Decimal("0.10"),
    )
    cared = animal(
        # 100 g: 0.1 kg × 10 mg/kg ÷ 10 mg/mL = 0.1 mL.
        last_weighing=WeighingPoint(
            5, datetime(2026, 3, 1, 9, tzinfo=UTC), Decimal("100.00")
        ),
        profile=replace(PROFILE, dosing=DosingPolicy(7, Decimal("0.01"), PRACTICE)),
        prescriptions=(syrup(doses=(given,)),),
    )

    morning, evening = (t for t in on_day(facts(cared)) if t.kind is TaskKind.DOSE)

    assert (morning.done_on, evening.done_on) == (ON, None)
    assert evening.key == "dose:animal:1:2026-03-02:3:20260302T200000Z"
    assert evening.plan == DosePlan(
        prescription=3,
        drug="Invented syrup",
        route=Route.BY_MOUTH,
        vet="A licensed vet",
        due_at=datetime(2026, 3, 2, 20, tzinfo=UTC),
        volume_ml=Decimal("0.10"),
        refusal="",
        mass_g=Decimal("100.00"),
        weighed_on=date(2026, 3, 1),
    )


def test_a_dose_for_an_unweighed_animal_is_refused_in_words() -> None:
    (task, _) = (
        t
        for t in on_day(facts(animal(profile=None, prescriptions=(syrup(),))))
        if t.kind is TaskKind.DOSE
    )

    assert isinstance(task.plan, DosePlan)
    assert (task.plan.volume_ml, task.plan.mass_g) == (None, None)
    assert "No weighing is on record" in task.plan.refusal


def test_what_is_due_once_stands_until_it_is_done() -> None:
    seen = observation(1, date(2026, 1, 10), look_again_on=date(2026, 1, 12))
    done = observation(2, date(2026, 1, 13), look_again_on=ON)
    cared = animal(
        observations=(seen, done), tests=(replace(AWAITED, expected_on=ON - 3 * DAY),)
    )
    # Fitted on 1 August 2025: measured by the 29th, spent after six months.
    old = lamp(fitted_on=date(2025, 8, 1))
    known = facts(cared, enclosures={1: enclosure(lamps=(old,))})

    tasks = standing_tasks(known, on=ON)

    assert [(t.kind, t.due_on) for t in tasks] == [
        (TaskKind.UV_CHECK, date(2025, 8, 29)),
        (TaskKind.LAMP_CHANGE, date(2026, 2, 1)),
        (TaskKind.TEST_RESULT, ON - 3 * DAY),
    ]
    recorded = replace(known, first_recorded_on={TaskKind.UV_CHECK: date(2026, 1, 1)})
    assert [t.kind for t in standing_tasks(recorded, on=ON)] == [
        TaskKind.LAMP_CHANGE,
        TaskKind.TEST_RESULT,
    ]


def test_the_first_animal_whose_profile_speaks_of_misting_decides() -> None:
    silent = replace(PROFILE, misting=())
    later = replace(PROFILE, misting=PROFILE.misting[1:])
    known = facts(
        animal(1, profile=None),
        animal(2, profile=silent),
        animal(3, arrived_on=ON + DAY),
        animal(4, profile=later),
    )

    tasks = tasks_due(known, from_on=ON, until_on=ON + DAY)

    assert [t.rule_id for t in tasks if t.kind is TaskKind.MIST] == [
        "mist-late",
        "mist-early",
        "mist-late",
    ]


def test_one_animal_alone_has_the_same_tasks() -> None:
    cared = animal(feedings=feedings(ON), tests=(AWAITED,))
    known = facts(cared)

    alone = tasks_of_animal(
        cared, lights_on=time(7), zone=LISBON, from_on=ON - DAY, until_on=ON + 9 * DAY
    )

    of_site = tasks_due(known, from_on=ON - DAY, until_on=ON + 9 * DAY)
    assert alone == tuple(task for task in of_site if task.animal == 1)


DAYS = st.dates(date(2026, 2, 10), date(2026, 4, 20))


@st.composite
def orders_made(draw: st.DrawFn) -> tuple[object, ...]:
    found = []
    for number in range(draw(st.integers(0, 2))):
        from_on = draw(DAYS)
        kind = draw(st.sampled_from(FeedingOrderKind))
        until_on = from_on + draw(st.integers(0, 12)) * DAY
        changes: dict[str, object] = {"id": number}
        if kind is not FeedingOrderKind.FAST:
            changes["every_days"] = draw(st.integers(1, 4))
        found.append(order(kind, from_on, until_on, **changes))
    return tuple(found)


@st.composite
def animals(draw: st.DrawFn, number: int) -> CaredAnimal:
    hatched_on = draw(
        st.one_of(st.none(), st.dates(date(2025, 1, 1), date(2026, 4, 1)))
    )
    seen = observation(1, date(2026, 2, 20), look_again_on=draw(DAYS))
    return animal(
        number,
        code=draw(st.sampled_from(["A", "B"])),
        profile=draw(st.sampled_from([PROFILE, PROFILE, None])),
        hatched_on=hatched_on,
        arrived_on=max(hatched_on or date.min, draw(DAYS) - 30 * DAY),
        enclosure=draw(st.sampled_from([1, 2, 3, None])),
        feedings=feedings(*sorted(draw(st.lists(DAYS, max_size=20)))),
        weighed_on=tuple(sorted(set(draw(st.lists(DAYS, max_size=4))))),
        orders=draw(orders_made()),
        observations=(seen, observation(2, draw(DAYS))),
        prescriptions=draw(st.sampled_from([(), (syrup(),)])),
        tests=draw(st.sampled_from([(), (AWAITED,)])),
    )


@st.composite
def places(draw: st.DrawFn) -> CareFacts:
    chores = tuple(
        chore(
            ChoreKind.MISTING,
            datetime.combine(on, time(draw(st.integers(0, 23))), tzinfo=UTC),
            enclosure=draw(st.integers(1, 3)),
        )
        for on in draw(st.lists(DAYS, max_size=9))
    )
    return facts(
        *[draw(animals(n)) for n in range(1, draw(st.integers(1, 4)) + 1)],
        enclosures={
            n: enclosure(n, room=1 + n // 3, lamps=(lamp(n),)) for n in (1, 2, 3)
        },
        rooms={n: CaredRoom(n, f"r{n}", "R", 0, quarantine=n == 1) for n in (1, 2)},
        chores=chores,
        first_recorded_on=draw(st.sampled_from([{}, {TaskKind.FEED: ON}])),
    )


@settings(max_examples=60, deadline=None)
@given(known=places(), from_on=DAYS, days=st.integers(0, 20), asked=st.integers(-9, 25))
def test_a_range_holds_what_its_days_hold(
    known: CareFacts, from_on: date, days: int, asked: int
) -> None:
    until_on, asked_on = from_on + days * DAY, from_on + asked * DAY
    whole = tasks_due(known, from_on=from_on, until_on=until_on, asked_on=asked_on)

    by_day = [
        task
        for n in range(days + 1)
        for task in on_day(known, from_on + n * DAY, asked_on)
    ]
    assert sorted(whole, key=lambda t: t.key) == sorted(by_day, key=lambda t: t.key)


def test_a_meal_that_can_still_be_late_takes_what_is_due_before_later_ones() -> None:
    """Worked out by hand: the vitamins of the first wait for the meal of the 12th."""
    known = facts(
        animal(
            hatched_on=date(2025, 1, 1),
            arrived_on=date(2026, 1, 11),
            feedings=feedings(date(2026, 2, 10)),
        )
    )
    asked_on, later_on = date(2026, 2, 13), date(2026, 2, 15)

    whole = tasks_due(
        known, from_on=date(2026, 2, 12), until_on=later_on, asked_on=asked_on
    )

    alone = on_day(known, later_on, asked_on)
    assert [t for t in whole if t.due_on == later_on] == list(alone)


def test_what_closes_a_meal_does_not_hang_on_where_the_range_ends() -> None:
    assist = FeedingOrderKind.ASSIST
    known = facts(
        animal(
            hatched_on=None,
            arrived_on=date(2026, 1, 11),
            feedings=feedings(ON),
            orders=(
                order(assist, date(2026, 3, 8), date(2026, 3, 8), every_days=1),
                order(assist, date(2026, 2, 19), date(2026, 3, 3), id=2),
            ),
        )
    )
    third, asked_on = date(2026, 3, 3), date(2026, 3, 1)

    whole = tasks_due(
        known, from_on=asked_on, until_on=date(2026, 3, 4), asked_on=asked_on
    )

    alone = on_day(known, third, asked_on)
    assert [t for t in whole if t.due_on == third] == list(alone)


@settings(max_examples=60, deadline=None)
@given(known=places(), from_on=DAYS, days=st.integers(0, 40))
def test_keys_are_unique_and_days_lie_in_the_range(
    known: CareFacts, from_on: date, days: int
) -> None:
    tasks = tasks_due(known, from_on=from_on, until_on=from_on + days * DAY)

    assert len({task.key for task in tasks}) == len(tasks)
    assert all(from_on <= t.due_on <= from_on + days * DAY for t in tasks)
    of_one = [t for t in tasks if t.animal == 1]
    assert all(a.due_on <= b.due_on for a, b in pairwise(of_one))


@settings(max_examples=60, deadline=None)
@given(known=places(), data=st.data())
def test_the_order_of_what_is_on_record_does_not_matter(
    known: CareFacts, data: st.DataObject
) -> None:
    shuffled = replace(
        known,
        animals=tuple(data.draw(st.permutations(known.animals))),
        chores=tuple(data.draw(st.permutations(known.chores))),
        enclosures=dict(data.draw(st.permutations(list(known.enclosures.items())))),
    )

    again = tasks_due(shuffled, from_on=ON, until_on=ON + 6 * DAY)

    assert again == tasks_due(known, from_on=ON, until_on=ON + 6 * DAY)
