"""On which days an animal is weighed; counted by hand from the day it arrived."""

from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

import pytest

from husbandry.rules.care.facts import CaredAnimal
from husbandry.rules.care.stage_rules import rules_of
from husbandry.rules.care.tasks import CareTask, WeighPlan
from husbandry.rules.care.weighing_tasks import weighing_tasks
from husbandry.rules.vocabulary import TaskKind
from husbandry.rules.weights import WeighingPoint
from tests.rules.care.cared import LISBON, PRACTICE, PROFILE, animal

ARRIVED_ON = date(2026, 1, 5)


def weighings(cared: CaredAnimal, from_on: str, until_on: str) -> tuple[CareTask, ...]:
    return weighing_tasks(
        cared,
        rules_of(PROFILE),
        zone=LISBON,
        from_on=date.fromisoformat(f"2026-{from_on}"),
        until_on=date.fromisoformat(f"2026-{until_on}"),
    )


@pytest.mark.parametrize(
    ("changes", "from_on", "until_on", "expected"),
    [
        # Weekly from 5 January: …, 9, 16, 23 February. Subadult from 26 February: every
        # 14 days from 5 January: 2, 16 March.
        pytest.param(
            {},
            "02-09",
            "03-17",
            ["02-09", "02-16", "02-23", "03-02", "03-16"],
            id="age",
        ),
        pytest.param(
            {}, "01-01", "01-12", ["01-05", "01-12"], id="none before it came"
        ),
        pytest.param(
            {"hatched_on": None},
            "01-05",
            "02-03",
            ["01-05", "01-19", "02-02"],
            id="ageless",
        ),
        pytest.param({}, "01-06", "01-11", [], id="between"),
    ],
)
def test_days_are_counted_from_arrival(
    changes: dict[str, Any], from_on: str, until_on: str, expected: list[str]
) -> None:
    tasks = weighings(animal(arrived_on=ARRIVED_ON, **changes), from_on, until_on)

    assert [f"{task.due_on:%m-%d}" for task in tasks] == expected


# Due on 16 March, the next one on 30 March; the one before on 2 March.
@pytest.mark.parametrize(
    ("weighed", "done"),
    [
        ([], None),
        (["03-02"], None),
        # Of 2 and 16 March, the 9th is as near to the one as to the other.
        (["03-08"], None),
        (["03-09"], "03-09"),
        (["03-03", "03-16"], "03-16"),
        (["03-29"], "03-29"),
        (["03-30"], None),
    ],
)
def test_a_weighing_closes_the_due_day_that_is_nearer_or_late_the_last(
    weighed: list[str], done: str | None
) -> None:
    days = tuple(date.fromisoformat(f"2026-{day}") for day in weighed)
    cared = animal(arrived_on=ARRIVED_ON, weighed_on=days)

    (task,) = weighings(cared, "03-16", "03-16")

    assert task.done_on == (date.fromisoformat(f"2026-{done}") if done else None)


def test_the_last_weekly_weighing_does_not_count_for_the_first_fortnight() -> None:
    # Weekly up to 23 February, the next one on 2 March.
    cared = animal(arrived_on=ARRIVED_ON, weighed_on=(date(2026, 2, 23),))

    tasks = weighings(cared, "02-23", "03-02")

    assert [task.done_on for task in tasks] == [date(2026, 2, 23), None]


def test_a_task_shows_the_last_weighing() -> None:
    # Half past midnight in Lisbon, on 2 July, is still the 1st in UTC.
    last = WeighingPoint(9, datetime(2026, 7, 1, 23, 30, tzinfo=UTC), Decimal("101.5"))
    cared = animal(arrived_on=date(2026, 7, 2), last_weighing=last)

    (task,) = weighings(cared, "07-02", "07-02")

    assert task == CareTask(
        key="weigh:animal:1:2026-07-02",
        kind=TaskKind.WEIGH,
        due_on=date(2026, 7, 2),
        due_at=None,
        animal=1,
        enclosure=None,
        room=None,
        plan=WeighPlan(14, Decimal("101.5"), date(2026, 7, 2)),
        done_on=None,
        rule_id="weighing",
        provenance=PRACTICE,
    )
