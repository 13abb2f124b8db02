"""The sheet of a round: order, what is due, what is overdue, what to mind.

The order (healthy rooms first, quarantine last) and the notes are common practice, no
source; the fourteen days of settling in are the profile's.
"""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest

from husbandry.rules.care.facts import CaredRoom
from husbandry.rules.care.tasks import CareTask
from husbandry.rules.masses import PlausibleMasses
from husbandry.rules.round_cautions import KEPT_APART, SALMONELLA, cautions_of
from husbandry.rules.round_notes import notes_of
from husbandry.rules.round_sheets import LastWeight, RoundNote
from husbandry.rules.rounds import still_to_do, walking_order
from husbandry.rules.vocabulary import (
    FeedingOrderKind,
    RoundNoteKind,
    TaskKind,
    Urgency,
)
from husbandry.rules.weights import GravidSpell, WeighingPoint
from tests.rules import rounds_made as made

K = RoundNoteKind
ON = made.ON
QUARANTINE = replace(made.ROOM, quarantine=True)


def days(number: int) -> timedelta:
    return timedelta(days=number)


def test_quarantine_is_walked_last_whatever_its_position() -> None:
    sick = CaredRoom(1, "a", "Sick bay", 0, quarantine=True)
    second = CaredRoom(2, "b", "Adults", 2, quarantine=False)
    first = CaredRoom(3, "c", "Nursery", 1, quarantine=False)
    tie = CaredRoom(4, "a", "Attic", 2, quarantine=False)

    assert walking_order([sick, second, first, tie]) == (first, tie, second, sick)
    assert walking_order([]) == ()


def test_stops_are_in_walking_order_and_animals_by_code() -> None:
    animals = [made.animal(n) for n in (1, 2, 3)]
    shared = made.animal(4, code="V-0000", enclosure=2)
    standing = [
        made.enclosure(1, position=9),
        made.enclosure(2, position=1, code="N-B"),
        made.enclosure(3, position=1, code="N-A"),
        made.enclosure(4, position=0, room=7),
    ]

    found = made.sheet(made.facts([*animals, shared], standing))

    assert [s.code for s in found.stops] == ["N-A", "N-B", "N-01"]
    assert [a.code for a in found.animals] == ["V-0003", "V-0000", "V-0002", "V-0001"]


def test_an_empty_enclosure_is_a_stop_only_where_something_is_due() -> None:
    standing = [made.enclosure(1), made.enclosure(2)]
    lamp = made.task(TaskKind.LAMP_CHANGE, made.LAMP, enclosure=2)
    facts = made.facts([made.animal(1)], standing)

    assert [s.code for s in made.sheet(facts).stops] == ["N-01"]
    assert [s.code for s in made.sheet(facts, [lamp]).stops] == ["N-01", "N-02"]
    assert made.sheet(made.facts([])).stops == ()


def test_tasks_stand_where_they_belong() -> None:
    feed = made.task()
    weigh = made.task(TaskKind.WEIGH, made.WEIGH, done_on=ON)
    mist = made.task(TaskKind.MIST, made.MIST, enclosure=1)
    gut_load = made.task(TaskKind.GUT_LOAD, made.GUT_LOAD, room=made.ROOM.id)
    elsewhere = made.task(TaskKind.GUT_LOAD, made.GUT_LOAD, room=99)
    tomorrow = made.task(due_on=ON + days(1))
    every = [weigh, tomorrow, elsewhere, gut_load, mist, feed]

    found = made.sheet(made.facts([made.animal()]), every)

    stop = found.stops[0]
    assert found.tasks == (gut_load,)
    assert stop.tasks == (mist,)
    assert stop.animals[0].tasks == (feed, weigh)
    assert found.all_tasks == (gut_load, mist, feed, weigh)


def test_two_mistings_stand_in_the_order_of_the_day() -> None:
    evening, morning = (
        replace(
            made.task(
                TaskKind.MIST,
                made.MIST,
                enclosure=1,
                due_at=datetime(2026, 3, 2, hour, tzinfo=UTC),
            ),
            key=key,
        )
        for hour, key in ((19, "a"), (6, "b"))
    )

    found = made.sheet(made.facts([made.animal()]), [evening, morning])

    assert found.stops[0].tasks == (morning, evening)


@pytest.mark.parametrize(
    ("due_on", "done_on", "recorded", "shown"),
    [
        (ON - days(1), None, date(2026, 1, 1), True),
        (ON - days(6), None, date(2026, 1, 1), True),
        (ON - days(7), None, date(2026, 1, 1), False),
        (ON - days(1), ON - days(1), date(2026, 1, 1), False),
        # Nobody writes feedings down here yet, or only since a later day.
        (ON - days(1), None, None, False),
        (ON - days(2), None, ON - days(1), False),
        (ON - days(1), None, ON - days(1), True),
    ],
)
def test_what_was_left_open_stands_on_the_sheet_for_six_days(
    due_on: date, done_on: date | None, recorded: date | None, shown: bool
) -> None:
    left = made.task(due_on=due_on, done_on=done_on)
    facts = made.facts([made.animal()], recorded=recorded)

    found = made.sheet(facts, [left]).animals[0]

    assert found.overdue == ((left,) if shown else ())
    assert found.tasks == ()


def test_doses_and_weighings_are_judged_from_the_start() -> None:
    dose = made.task(TaskKind.DOSE, made.DOSE, due_on=ON - days(1))
    weigh = made.task(TaskKind.WEIGH, made.WEIGH, due_on=ON - days(3))
    facts = made.facts([made.animal()], recorded=None)

    found = made.sheet(facts, [dose, weigh]).animals[0]

    assert found.overdue == (weigh, dose)


LATE = [made.task(due_on=ON - days(n)) for n in (3, 1)]
WEIGH_LATE = made.task(TaskKind.WEIGH, made.WEIGH, due_on=ON - days(2))
LOOK_LATE = [
    made.task(TaskKind.FOLLOW_UP, made.LOOK, due_on=ON - days(n)) for n in (40, 3)
]
DOSE_LATE = made.task(TaskKind.DOSE, made.DOSE, due_on=ON - days(1))
MIST_LATE = made.task(TaskKind.MIST, made.MIST, enclosure=1, due_on=ON - days(1))


@pytest.mark.parametrize(
    ("tasks", "overdue", "still"),
    [
        ([], [], []),
        ([], LATE, LATE[1:]),
        ([made.task()], LATE, []),
        ([made.task()], [*LATE, WEIGH_LATE], [WEIGH_LATE]),
        ([made.task()], LOOK_LATE, LOOK_LATE),
        ([], [DOSE_LATE, MIST_LATE], []),
    ],
)
def test_of_what_was_left_open_some_still_does_good(
    tasks: list[CareTask], overdue: list[CareTask], still: list[CareTask]
) -> None:
    assert still_to_do(tasks, overdue) == tuple(still)


def test_what_stands_open_from_long_ago_is_on_the_sheet_once() -> None:
    facts = made.facts([made.animal()])

    found = made.sheet(facts, [*LOOK_LATE, *LOOK_LATE, WEIGH_LATE]).animals[0]

    assert found.overdue == (WEIGH_LATE, *LOOK_LATE)


def test_an_animal_is_told_with_its_last_weight_and_the_next_plausible_one() -> None:
    found = made.sheet(made.facts([made.animal()])).animals[0]

    assert (found.stage, found.age_days) == ("Adult", 547)
    assert found.last_weight == LastWeight(Decimal("101.50"), date(2026, 2, 23))
    # From half to twice the last weighing: weight-plausibility-convention.
    assert found.plausible == PlausibleMasses(Decimal("50.75"), Decimal("203.00"))


def test_the_day_of_a_weighing_is_the_sites() -> None:
    late = WeighingPoint(1, datetime(2026, 2, 28, 23, 30, tzinfo=UTC), Decimal(100))
    facts = replace(
        made.facts([made.animal(last_weighing=late)]), zone=made.ZoneInfo("Asia/Tokyo")
    )

    assert made.sheet(facts).animals[0].last_weight == LastWeight(
        Decimal(100), date(2026, 3, 1)
    )


def test_nothing_known_is_nothing_said() -> None:
    unknown = made.animal(profile=None, hatched_on=None, last_weighing=None)

    found = made.sheet(made.facts([unknown])).animals[0]

    assert (found.stage, found.age_days) == ("", None)
    assert (found.last_weight, found.plausible, found.notes) == (None, None, ())


def test_without_a_weighing_the_band_says_what_is_plausible() -> None:
    found = made.sheet(made.facts([made.animal(last_weighing=None)])).animals[0]

    # Adult females 85 to 118 g, by the shipped profile; half and twice of that.
    assert found.plausible == PlausibleMasses(Decimal("42.5"), Decimal(236))


def test_findings_stand_where_they_belong_worst_first() -> None:
    watch = made.finding(1)
    now = made.finding(2, urgency=Urgency.NOW)
    of_cage = made.finding(3, animal=None)
    of_site = made.finding(4, animal=None, enclosure=None)

    found = made.sheet(
        made.facts([made.animal()]), findings=[watch, of_site, of_cage, now]
    )

    assert found.animals[0].findings == (now, watch)
    assert found.stops[0].findings == (of_cage,)
    assert found.findings == (of_site,)


@pytest.mark.parametrize(
    ("arrived_on", "until_on"),
    [
        (ON, ON + days(13)),
        (ON - days(13), ON),
        (ON - days(14), None),
        (ON + days(1), None),
        (date(2024, 9, 1), None),
    ],
)
def test_a_newcomer_is_left_alone_for_the_profiles_days(
    arrived_on: date, until_on: date | None
) -> None:
    found = notes_of(made.animal(arrived_on=arrived_on), room=made.ROOM, on=ON)

    expected = RoundNote(
        *(K.SETTLING_IN, arrived_on, until_on, "Leave it alone."),
        *("settling", made.PRACTICE),
    )
    assert found == ((expected,) if until_on else ())


def test_one_that_hatched_here_is_no_newcomer() -> None:
    hatchling = made.animal(hatched_on=ON - days(2), arrived_on=ON - days(2))

    assert notes_of(hatchling, room=made.ROOM, on=ON) == ()


def test_a_profile_without_settling_in_says_nothing_of_it() -> None:
    silent = replace(made.profile(), settling=None)

    assert (
        notes_of(made.animal(profile=silent, arrived_on=ON), room=made.ROOM, on=ON)
        == ()
    )


@pytest.mark.parametrize(
    ("spell", "gravid"),
    [
        (GravidSpell(ON, None), True),
        (GravidSpell(ON - days(9), ON), True),
        (GravidSpell(ON - days(9), ON - days(1)), False),
        (GravidSpell(ON + days(1), None), False),
    ],
)
def test_a_gravid_female_is_told_since_when(spell: GravidSpell, gravid: bool) -> None:
    found = notes_of(made.animal(gravid=(spell,)), room=made.ROOM, on=ON)

    expected = RoundNote(K.GRAVID, spell.from_on, None)
    assert found == ((expected,) if gravid else ())


@pytest.mark.parametrize(
    ("from_on", "until_on", "fasting"),
    [
        (ON, ON, True),
        (ON - days(2), ON - days(1), False),
        (ON + days(1), ON + days(1), False),
    ],
)
def test_a_fast_is_told_with_its_days_and_its_reason(
    from_on: date, until_on: date, fasting: bool
) -> None:
    order = made.fast(from_on, until_on)

    found = notes_of(made.animal(orders=(order,)), room=made.ROOM, on=ON)

    expected = RoundNote(K.FASTING, from_on, until_on, "A. Vet: Surgery.")
    assert found == ((expected,) if fasting else ())


def test_another_order_is_no_fast() -> None:
    rhythm = replace(made.fast(ON, ON), kind=FeedingOrderKind.RHYTHM)

    assert notes_of(made.animal(orders=(rhythm,)), room=made.ROOM, on=ON) == ()


def test_an_animal_in_quarantine_is_told_of_wherever_it_lives() -> None:
    kept_apart = made.animal(kept_apart_since=ON - days(9))

    for room in (made.ROOM, QUARANTINE):
        found = notes_of(kept_apart, room=room, on=ON)
        assert found == (RoundNote(K.QUARANTINE, ON - days(9), None),)


def test_within_a_room_those_in_quarantine_come_last() -> None:
    """Cared for last, with tools of its own: AZA guidance and Miller (1996)."""
    animals = [
        made.animal(1, kept_apart_since=ON),
        made.animal(2),
        made.animal(3),
    ]

    sheet = made.sheet(made.facts(animals))

    assert [stop.code for stop in sheet.stops] == ["N-02", "N-03", "N-01"]
    assert cautions_of(sheet)[:2] == (SALMONELLA, KEPT_APART)


def test_a_room_of_quarantine_says_its_own_caution_only() -> None:
    facts = made.facts([made.animal(1, kept_apart_since=ON)])

    sheet = made.sheet(facts, room=QUARANTINE)

    assert cautions_of(sheet) == (SALMONELLA,)


def test_all_that_is_to_mind_is_said_the_rooms_last() -> None:
    everything = made.animal(
        arrived_on=ON,
        gravid=(GravidSpell(ON, None),),
        orders=(made.fast(ON, ON, by=""),),
    )

    found = notes_of(everything, room=QUARANTINE, on=ON)

    assert [(n.kind, n.reason) for n in found] == [
        (K.SETTLING_IN, "Leave it alone."),
        (K.GRAVID, ""),
        (K.FASTING, "Surgery."),
        (K.QUARANTINE, ""),
    ]
