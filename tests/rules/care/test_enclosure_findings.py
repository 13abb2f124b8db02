"""Enclosures left dry, and lamps past their time, worked out on a calendar.

Misting before lights-on and after lights-off: common practice, no source. A tube that
lost half its UVB in six months: Nevarez (second hand; nevarez-lamps). Urgency: a
convention of this project.
"""

from dataclasses import replace
from datetime import date, datetime, time

import pytest

from husbandry.rules.assessments import Assessment
from husbandry.rules.care.facts import ChoreFact, LampFact
from husbandry.rules.care.lamp_findings import lamps_overdue
from husbandry.rules.care.lamp_tasks import lamp_tasks
from husbandry.rules.care.misting_findings import misting_missed
from husbandry.rules.care.tasks import CareTask, MistPlan
from husbandry.rules.profiles.values import LampRule
from husbandry.rules.vocabulary import (
    ChoreKind,
    FindingKind,
    LampKind,
    MistingTime,
    TaskKind,
    Urgency,
)
from tests.rules.care import kept
from tests.rules.care.kept import (
    ON,
    PRACTICE,
    TUBE,
    ZONE,
    day,
    days,
    feed_task,
    small_profile,
)

LONG_AGO = date(2026, 1, 2)
MORNING, EVENING = MistingTime.BEFORE_LIGHTS_ON, MistingTime.AFTER_LIGHTS_OFF


def mist(due_on: date, at: MistingTime, *, done: bool) -> CareTask:
    return CareTask(
        key=f"mist:enclosure:7:{due_on}:{at}",
        kind=TaskKind.MIST,
        due_on=due_on,
        due_at=None,
        animal=None,
        enclosure=7,
        room=None,
        plan=MistPlan(at, 2, 4),
        done_on=due_on if done else None,
        rule_id="misting",
        provenance=PRACTICE,
    )


def week(*dry: date, both: bool = True) -> list[CareTask]:
    return [
        task
        for on in days(day(18), day(24))
        for task in (
            mist(on, MORNING, done=on not in dry),
            mist(on, EVENING, done=on not in dry or not both),
        )
    ]


def misted(on: date) -> ChoreFact:
    at = datetime.combine(on, time(6, 30), tzinfo=ZONE)
    return ChoreFact(ChoreKind.MISTING, at, on, 7, None, "")


def judge(
    tasks: list[CareTask], *chores: ChoreFact, recorded_from: date = LONG_AGO
) -> Assessment | None:
    return misting_missed(7, tasks, chores, recorded_from=recorded_from, on=ON)


def test_dry_day_is_told_with_all_its_numbers() -> None:
    found = judge(week(day(24)), misted(day(22)), misted(day(23)), misted(day(25)))

    assert found == Assessment(
        kind=FindingKind.MISTING_MISSED,
        urgency=Urgency.WATCH,
        facts={
            "due_on": "2026-11-24",
            "missed": [
                {"time": "before_lights_on", "minutes_low": 2, "minutes_high": 4},
                {"time": "after_lights_off", "minutes_low": 2, "minutes_high": 4},
            ],
            "due": 2,
            "days_in_a_row": 1,
            "since_on": "2026-11-24",
            "last_on": "2026-11-23",
            "convention": "care-task-convention",
        },
        rule_id="misting",
        provenance=PRACTICE,
        enclosure=7,
    )


@pytest.mark.parametrize(
    ("dry", "expected"),
    [
        ((), None),
        ((day(24),), (1, Urgency.WATCH)),
        ((day(22), day(24)), (1, Urgency.WATCH)),
        ((day(23), day(24)), (2, Urgency.TODAY)),
        (days(day(18), day(24)), (7, Urgency.TODAY)),
        # Misted again on the day itself.
        ((day(22), day(23)), None),
    ],
)
def test_second_dry_day_in_a_row_does_not_wait(
    dry: tuple[date, ...], expected: tuple[int, Urgency] | None
) -> None:
    found = judge(week(*dry))

    assert (found and (found.facts["days_in_a_row"], found.urgency)) == expected


def test_one_of_two_mistings_is_enough_to_be_told() -> None:
    found = judge(week(day(24), both=False))

    assert found is not None
    assert [m["time"] for m in found.facts["missed"]] == ["before_lights_on"]
    assert found.facts["due"] == 2


@pytest.mark.parametrize(
    ("recorded_from", "days_in_a_row"), [(day(24), 1), (day(23), 2), (day(18), 3)]
)
def test_dry_days_before_the_first_record_are_not_counted(
    recorded_from: date, days_in_a_row: int
) -> None:
    found = judge(week(day(22), day(23), day(24)), recorded_from=recorded_from)

    assert found is not None
    assert found.facts["days_in_a_row"] == days_in_a_row


def test_enclosure_without_mistings_due_is_not_judged() -> None:
    assert judge([]) is None


def test_misting_of_no_day_on_record_says_so() -> None:
    found = judge(week(day(24)))

    assert found is not None
    assert found.facts["last_on"] is None


def test_task_of_another_kind_is_no_misting() -> None:
    with pytest.raises(TypeError, match="not a misting"):
        judge([feed_task(day(24))])


def overdue(
    *lamps: LampFact, rules: tuple[LampRule, ...] = (TUBE,), on: date = ON
) -> list[Assessment]:
    profile = small_profile(lamps=rules)
    enclosure = kept.enclosure(*lamps)
    tasks = lamp_tasks(enclosure, profile, counted_on=on, from_on=date.min, until_on=on)
    return list(lamps_overdue(enclosure, profile, tasks, on=on))


def test_tube_that_nobody_measured_is_told_with_all_its_numbers() -> None:
    lamp = kept.lamp(
        fitted_on=day(1, 9), checked_on=(day(15, 10),), last_uv_index=kept.mass("3.1")
    )

    assert overdue(lamp) == [
        Assessment(
            kind=FindingKind.UV_CHECK_OVERDUE,
            urgency=Urgency.WATCH,
            facts={
                "lamp": 5,
                "lamp_kind": "uvb_tube",
                "label": "T5 tube, left",
                "fitted_on": "2026-09-01",
                "due_on": "2026-11-14",
                "days_overdue": 10,
                "last_on": "2026-10-15",
                "days": 40,
                "last_uv": "3.1",
                "every_days": 30,
                "convention": "care-task-convention",
            },
            rule_id="uvb-tube",
            provenance=PRACTICE,
            detail=("5",),
            enclosure=7,
        )
    ]


@pytest.mark.parametrize(
    ("checked", "told"),
    [
        # Every 30 days: from 25 October the 24th of November is the 30th day.
        ((day(26, 10),), False),
        ((day(25, 10),), True),
        ((day(24, 10),), True),
        # However long ago it fell due.
        ((day(1, 3),), True),
        ((), True),
    ],
)
def test_reading_is_overdue_from_its_day_on(
    checked: tuple[date, ...], told: bool
) -> None:
    found = overdue(kept.lamp(fitted_on=day(1, 2), checked_on=checked))

    assert (FindingKind.UV_CHECK_OVERDUE in {a.kind for a in found}) is told


def test_new_tube_has_thirty_days() -> None:
    assert overdue(kept.lamp(fitted_on=day(26, 10))) == []

    (found,) = overdue(kept.lamp(fitted_on=day(25, 10)))
    assert (found.facts["last_on"], found.facts["days"]) == (None, 30)


def test_value_of_a_later_reading_is_not_told_of_an_earlier_day() -> None:
    lamp = kept.lamp(
        fitted_on=day(1, 9),
        checked_on=(day(15, 10), day(25)),
        last_uv_index=kept.mass("2.2"),
    )

    (found,) = overdue(lamp)

    assert (found.facts["last_on"], found.facts["last_uv"]) == ("2026-10-15", None)


def test_spent_tube_is_told_with_all_its_numbers() -> None:
    lamp = kept.lamp(
        fitted_on=day(1, 2),
        burnt_hours=4012.04,
        checked_on=(day(10),),
        last_uv_index=kept.mass("1.9"),
    )

    # 12.04 h over the limit at 12 h a day: full two days ago at the start of the day.
    assert overdue(lamp) == [
        Assessment(
            kind=FindingKind.LAMP_WORN,
            urgency=Urgency.TODAY,
            facts={
                "lamp": 5,
                "lamp_kind": "uvb_tube",
                "label": "T5 tube, left",
                "fitted_on": "2026-02-01",
                "due_on": "2026-11-22",
                "days_overdue": 2,
                "last_on": "2026-11-10",
                "days": 14,
                "last_uv": "1.9",
                "burnt_hours": 4012.0,
                "limit_hours": 4000,
                "limit_months": 12,
                "convention": "care-task-convention",
            },
            rule_id="uvb-tube",
            provenance=PRACTICE,
            detail=("5",),
            enclosure=7,
        )
    ]


@pytest.mark.parametrize(
    ("burnt", "fitted", "worn"),
    [
        (3987.0, day(1, 2), False),
        (3988.0, day(1, 2), True),  # the day's 12 hours fill them
        (4000.0, day(1, 2), True),
        (100.0, date(2025, 11, 25), False),
        (100.0, date(2025, 11, 24), True),
    ],
)
def test_tube_is_spent_by_hours_or_by_months(
    burnt: float, fitted: date, worn: bool
) -> None:
    lamp = kept.lamp(fitted_on=fitted, burnt_hours=burnt, checked_on=(day(20),))

    assert bool(overdue(lamp)) is worn


def test_heat_lamp_is_changed_but_its_uv_is_not_measured() -> None:
    heat = replace(TUBE, id="heat", kind=LampKind.HEAT)
    lamp = kept.lamp(kind=LampKind.HEAT, fitted_on=day(1, 2), burnt_hours=5000.0)

    assert [a.kind for a in overdue(lamp, rules=(heat,))] == [FindingKind.LAMP_WORN]


def test_each_lamp_is_told_by_itself() -> None:
    old = kept.lamp(id=6, fitted_on=date(2025, 11, 1))
    new = kept.lamp(fitted_on=day(20))

    found = overdue(new, old)

    assert [(a.kind, a.detail) for a in found] == [
        (FindingKind.UV_CHECK_OVERDUE, ("6",)),
        (FindingKind.LAMP_WORN, ("6",)),
    ]


def test_lamp_without_a_rule_is_not_judged() -> None:
    old = kept.lamp(fitted_on=date(2020, 1, 1))
    task = lamp_tasks(
        kept.enclosure(old),
        small_profile(),
        counted_on=ON,
        from_on=date.min,
        until_on=ON,
    )

    assert overdue(old, rules=()) == []
    assert (
        list(lamps_overdue(kept.enclosure(old), small_profile(lamps=()), task, on=ON))
        == []
    )


def test_task_due_later_is_not_overdue() -> None:
    enclosure = kept.enclosure(kept.lamp())
    tasks = lamp_tasks(
        enclosure,
        small_profile(),
        counted_on=ON,
        from_on=date.min,
        until_on=day(1, 12),
    )

    assert [t.due_on for t in tasks] == [day(1, 12)]
    assert list(lamps_overdue(enclosure, small_profile(), tasks, on=ON)) == []


def test_task_of_another_kind_is_no_care_of_a_lamp() -> None:
    with pytest.raises(TypeError, match="not a lamp's care"):
        list(
            lamps_overdue(
                kept.enclosure(), small_profile(), [feed_task(day(24))], on=ON
            )
        )
