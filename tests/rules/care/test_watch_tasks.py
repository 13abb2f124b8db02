"""Gravid females are looked at every day (common practice, no source)."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.care.due import tasks_due
from husbandry.rules.care.facts import ObservationFact
from husbandry.rules.care.tasks import CareTask, WatchPlan
from husbandry.rules.care.watch_tasks import watch_tasks
from husbandry.rules.round_cautions import GRAVID, cautions_of
from husbandry.rules.vocabulary import ObservationKind, Observed, Sex, TaskKind
from husbandry.rules.weights import GravidSpell
from tests.rules import rounds_made
from tests.rules.care.cared import animal, facts, observation

ON = date(2026, 3, 2)
DAY = timedelta(days=1)
SINCE = ON - 10 * DAY
BRIGHT = observation(
    1, ON, kind=ObservationKind.ALERTNESS, observed=Observed.BRIGHT, note=""
)


def due(
    *spells: GravidSpell,
    seen: tuple[ObservationFact, ...] = (),
    from_on: date = ON,
    until_on: date = ON,
    sex: Sex = Sex.FEMALE,
) -> tuple[CareTask, ...]:
    cared = animal(gravid=spells, observations=seen, sex=sex)
    return watch_tasks(cared, from_on=from_on, until_on=until_on)


def test_a_gravid_female_is_looked_at_on_the_day() -> None:
    assert due(GravidSpell(SINCE, None)) == (
        CareTask(
            key="watch:animal:1:2026-03-02",
            kind=TaskKind.WATCH,
            due_on=ON,
            due_at=None,
            animal=1,
            enclosure=None,
            room=None,
            plan=WatchPlan(SINCE),
            done_on=None,
            rule_id="",
            provenance=None,
        ),
    )


@pytest.mark.parametrize(
    ("spell", "days"),
    [
        (GravidSpell(ON - DAY, None), [-1, 0, 1]),
        (GravidSpell(ON + DAY, None), [1]),
        (GravidSpell(ON + 2 * DAY, None), []),
        # The last day is that of laying: then the eggs are out.
        (GravidSpell(SINCE, ON + DAY), [-1, 0]),
        (GravidSpell(SINCE, ON - DAY), []),
        (GravidSpell(ON, ON), []),
    ],
)
def test_every_day_of_a_spell_but_its_last(spell: GravidSpell, days: list[int]) -> None:
    found = due(spell, from_on=ON - DAY, until_on=ON + DAY)

    assert [task.due_on for task in found] == [ON + n * DAY for n in days]


@pytest.mark.parametrize(
    ("seen", "done"),
    [
        (BRIGHT, True),
        (replace(BRIGHT, observed=Observed.WEAK), True),
        (replace(BRIGHT, kind=ObservationKind.DIGGING, observed=Observed.BEGUN), True),
        (replace(BRIGHT, kind=ObservationKind.LAYING, observed=Observed.BEGUN), True),
        (replace(BRIGHT, kind=ObservationKind.SHED, observed=Observed.WHOLE), False),
        (replace(BRIGHT, kind=ObservationKind.NOTE, observed=None), False),
        (replace(BRIGHT, on=ON - DAY), False),
        (replace(BRIGHT, on=ON + DAY), False),
    ],
)
def test_a_look_of_that_very_day_closes_it(seen: ObservationFact, done: bool) -> None:
    (task,) = due(GravidSpell(SINCE, None), seen=(seen,))

    assert task.done_on == (ON if done else None)


def test_one_found_to_be_male_carries_nothing() -> None:
    assert due(GravidSpell(SINCE, None), sex=Sex.MALE) == ()
    assert len(due(GravidSpell(SINCE, None), sex=Sex.UNKNOWN)) == 1


def test_it_stands_among_what_is_due_and_before_arrival_it_does_not() -> None:
    cared = animal(gravid=(GravidSpell(SINCE, None),), arrived_on=ON, profile=None)

    tasks = tasks_due(facts(cared), from_on=ON - 3 * DAY, until_on=ON)

    assert [(t.kind, t.due_on) for t in tasks] == [(TaskKind.WATCH, ON)]


def test_of_looks_left_open_only_yesterdays_is_told() -> None:
    missed = [
        rounds_made.task(TaskKind.WATCH, WatchPlan(SINCE), due_on=ON - n * DAY)
        for n in (2, 1)
    ]
    made = rounds_made.facts([rounds_made.animal()])

    assert rounds_made.sheet(made, missed).animals[0].overdue == (missed[1],)


def test_who_looks_at_a_gravid_female_is_told_not_to_press_her_belly() -> None:
    made = rounds_made.facts([rounds_made.animal()])
    look = rounds_made.task(TaskKind.WATCH, WatchPlan(SINCE))

    assert GRAVID in cautions_of(rounds_made.sheet(made, [look]))
    assert GRAVID not in cautions_of(rounds_made.sheet(made, [rounds_made.task()]))


@given(
    st.integers(-40, 40),
    st.integers(0, 60) | st.none(),
    st.integers(-40, 40),
    st.integers(0, 30),
    st.integers(0, 30),
)
def test_two_ranges_hold_what_the_whole_holds(
    since: int, lasts: int | None, first: int, one: int, other: int
) -> None:
    from_on = ON + since * DAY
    until_on = None if lasts is None else from_on + lasts * DAY
    spell = GravidSpell(from_on, until_on)
    start, middle = ON + first * DAY, ON + (first + one) * DAY
    end = middle + other * DAY

    whole = due(spell, from_on=start, until_on=end)

    assert whole == due(spell, from_on=start, until_on=middle) + due(
        spell, from_on=middle + DAY, until_on=end
    )
    assert len({task.key for task in whole}) == len(whole)
