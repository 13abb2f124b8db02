"""Misting and lamps of an enclosure; instants and days worked by hand.

Misted 2–4 min before lights-on and after lights-off: common practice, no source.
"""

from dataclasses import replace
from datetime import UTC, date, datetime, time
from typing import Any

import pytest

from husbandry.rules.care.facts import LampFact
from husbandry.rules.care.lamp_tasks import lamp_tasks, spent_on
from husbandry.rules.care.misting_tasks import misting_tasks
from husbandry.rules.care.tasks import CareTask, LampPlan, MistPlan
from husbandry.rules.vocabulary import (
    ChoreKind,
    LampKind,
    Misting,
    MistingTime,
    TaskKind,
)
from tests.rules.care.cared import LISBON, PRACTICE, PROFILE, chore, enclosure, lamp

ON = date(2026, 3, 29)  # clocks go forward in Lisbon: 07:00 is 06:00 UTC
EARLY, LATE = MistingTime.BEFORE_LIGHTS_ON, MistingTime.AFTER_LIGHTS_OFF


def misted(*hours: float, day: int = 29) -> list[CareTask]:
    """Return the tasks of 29 March after mistings at some hours of UTC."""
    chores = tuple(
        chore(
            ChoreKind.MISTING,
            datetime(2026, 3, day, int(hour), round(hour % 1 * 60), tzinfo=UTC),
            enclosure=1,
        )
        for hour in hours
    )
    return list(misting_tasks(enclosure(), PROFILE.misting, chores, zone=LISBON, on=ON))


def test_misting_is_over_when_the_lights_come_on() -> None:
    early, late = misted()

    assert early == CareTask(
        key="mist:enclosure:1:2026-03-29:before_lights_on",
        kind=TaskKind.MIST,
        due_on=ON,
        due_at=datetime(2026, 3, 29, 5, 56, tzinfo=UTC),
        animal=None,
        enclosure=1,
        room=None,
        plan=MistPlan(EARLY, 2, 4),
        done_on=None,
        rule_id="mist-early",
        provenance=PRACTICE,
    )
    assert (late.due_at, late.plan) == (
        datetime(2026, 3, 29, 18, tzinfo=UTC),
        MistPlan(LATE, 2, 4),
    )


# Light from 06:00 to 18:00 UTC; its middle is 12:00. The local day ends at 23:00 UTC.
@pytest.mark.parametrize(
    ("hours", "early_done", "late_done"),
    [
        ([], False, False),
        ([0], True, False),
        ([5.9], True, False),
        ([11.99], True, False),
        ([12], False, True),
        ([18.1], False, True),
        ([22.99], False, True),
        ([23], False, False),
        ([5.9, 18.1], True, True),
    ],
)
def test_the_middle_of_the_light_parts_the_two(
    hours: list[float], early_done: bool, late_done: bool
) -> None:
    early, late = misted(*hours)

    assert (early.done_on == ON, late.done_on == ON) == (early_done, late_done)


def test_cleaning_and_other_days_do_not_count() -> None:
    cleaned = chore(
        ChoreKind.CLEANING, datetime(2026, 3, 29, 5, tzinfo=UTC), enclosure=1
    )

    tasks = misting_tasks(enclosure(), PROFILE.misting, (cleaned,), zone=LISBON, on=ON)

    assert [task.done_on for task in (*tasks, *misted(5, day=28))] == [None] * 4


def test_a_timer_needs_nobody() -> None:
    timed = enclosure(misting=Misting.BY_TIMER)

    assert misting_tasks(timed, PROFILE.misting, (), zone=LISBON, on=ON) == ()
    assert misting_tasks(enclosure(), (), (), zone=LISBON, on=ON) == ()


def lamps(
    *found: LampFact,
    from_on: date = date(2026, 1, 1),
    until_on: date = date(2027, 1, 1),
) -> tuple[CareTask, ...]:
    return lamp_tasks(
        enclosure(lamps=found),
        PROFILE,
        counted_on=date(2026, 3, 1),
        from_on=from_on,
        until_on=until_on,
    )


# Every 28 days: from 1 January the 29th; from 29 January 26 February.
@pytest.mark.parametrize(
    ("checked", "expected"),
    [
        pytest.param([], [("01-29", None)], id="after the fitting"),
        pytest.param(["01-29"], [("01-29", "01-29"), ("02-26", None)], id="on the day"),
        pytest.param(["01-20"], [("02-17", None)], id="early puts the next one off"),
        pytest.param(["02-05"], [("01-29", "02-05"), ("03-05", None)], id="late"),
        pytest.param(["01-01"], [("01-29", None)], id="at the fitting"),
    ],
)
def test_a_tube_is_measured_so_long_after_the_last_time(
    checked: list[str], expected: list[tuple[str, str | None]]
) -> None:
    days = tuple(date.fromisoformat(f"2026-{day}") for day in checked)

    tasks = [t for t in lamps(lamp(checked_on=days)) if t.kind is TaskKind.UV_CHECK]

    found = [(f"{t.due_on:%m-%d}", t.done_on and f"{t.done_on:%m-%d}") for t in tasks]
    assert found == expected


def test_a_heat_lamp_is_not_held_to_a_meter() -> None:
    heat = lamp(kind=LampKind.HEAT, fitted_on=date(2025, 8, 31))

    assert [(t.kind, t.due_on) for t in lamps(heat)] == [
        (TaskKind.LAMP_CHANGE, date(2026, 8, 31))
    ]


@pytest.mark.parametrize(
    ("fitted_on", "burnt_hours", "months", "hours", "expected"),
    [
        # Counted on 1 March, 12 hours a day from then on.
        pytest.param("2025-10-01", 0, 6, None, "2026-04-01", id="months"),
        pytest.param("2025-08-31", 0, 6, None, "2026-02-28", id="a shorter month"),
        pytest.param("2026-01-01", 1976, 6, 2000, "2026-03-02", id="24 h left: 2 days"),
        pytest.param(
            "2026-01-01", 1975, 6, 2000, "2026-03-03", id="25 h left: a third"
        ),
        pytest.param("2026-01-01", 2000, 6, 2000, "2026-02-28", id="full yesterday"),
        pytest.param("2026-01-01", 2012, 6, 2000, "2026-02-27", id="the day before"),
        pytest.param("2025-10-01", 100, 6, 2000, "2026-04-01", id="months are sooner"),
        pytest.param("2026-01-01", 100, None, None, None, id="neither is counted"),
    ],
)
def test_a_lamp_is_spent_by_months_or_hours_whichever_is_first(
    fitted_on: str,
    burnt_hours: float,
    months: int | None,
    hours: int | None,
    expected: str | None,
) -> None:
    rule = replace(
        PROFILE.lamps[0], replace_after_months=months, replace_after_hours=hours
    )
    burnt = lamp(fitted_on=date.fromisoformat(fitted_on), burnt_hours=burnt_hours)

    found = spent_on(burnt, rule, hours_a_day=12, counted_on=date(2026, 3, 1))

    assert found == (date.fromisoformat(expected) if expected else None)


def test_a_lamp_that_never_burns_is_spent_by_its_months_alone() -> None:
    rule = PROFILE.lamps[0]

    found = spent_on(lamp(), rule, hours_a_day=0, counted_on=date(2026, 3, 1))

    assert found == date(2026, 7, 1)


def test_a_change_keeps_its_name_when_its_day_moves() -> None:
    by_day = {
        hours: lamps(lamp(burnt_hours=hours), from_on=date(2026, 3, 1))[-1]
        for hours in (1900.0, 1950.0)
    }

    # 100 h at 12 h a day are 9 days, 50 h are 5: the 9th, and the 5th, of March.
    assert [task.due_on.day for task in by_day.values()] == [9, 5]
    assert {task.key for task in by_day.values()} == {
        "lamp_change:enclosure:1:2026-01-01:1"
    }
    assert by_day[1900.0].plan == LampPlan(
        1, LampKind.UVB_TUBE, "T5", date(2026, 1, 1), 1900.0, None
    )


@pytest.mark.parametrize(
    ("from_on", "until_on", "expected"),
    [
        (date(2026, 1, 29), date(2026, 1, 29), [TaskKind.UV_CHECK]),
        (date(2026, 1, 30), date(2026, 6, 30), []),
        (date(2026, 7, 1), date(2026, 7, 1), [TaskKind.LAMP_CHANGE]),
    ],
)
def test_only_what_falls_due_in_the_range(
    from_on: date, until_on: date, expected: list[Any]
) -> None:
    # 12 h a day from 1 March reach 2,000 h in August; six months end on 1 July.
    tasks = lamps(lamp(), from_on=from_on, until_on=until_on)

    assert [task.kind for task in tasks] == expected


def test_a_lamp_without_a_rule_makes_no_task() -> None:
    found = lamp_tasks(
        enclosure(lamps=(lamp(),), lights_on=time(6)),
        replace(PROFILE, lamps=()),
        counted_on=ON,
        from_on=date(2026, 1, 1),
        until_on=date(2027, 1, 1),
    )

    assert found == ()
