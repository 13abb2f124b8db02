"""Enclosures that are misted by hand and were not."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date
from typing import Any

from husbandry.rules.assessments import Assessment
from husbandry.rules.care.facts import ChoreFact
from husbandry.rules.care.judging import CONVENTION, DAY, open_on
from husbandry.rules.care.tasks import CareTask, MistPlan
from husbandry.rules.vocabulary import FindingKind, Urgency

# A second dry day in a row does not wait.
DAYS_TODAY = 2


def misting_missed(
    enclosure: int,
    tasks: Sequence[CareTask],
    chores: Sequence[ChoreFact],
    *,
    recorded_from: date,
    on: date,
) -> Assessment | None:
    """Say that an enclosure was not misted as often as it should have been.

    Args:
        enclosure: its key.
        tasks: its mistings that were due, in order; empty: none was.
        chores: the mistings on record, in any order.
        recorded_from: first day on which the site recorded mistings.
        on: the day, at its end.

    Returns:
        None where every misting of that day is done. It is more urgent from the second
        day in a row of which one is missing.

    Source:
        care-task-convention
    """
    by_day: dict[date, list[CareTask]] = defaultdict(list)
    for task in tasks:
        if recorded_from <= task.due_on <= on and open_on(task, on):
            by_day[task.due_on].append(task)
    missed = by_day.get(on)
    if not missed:
        return None
    days = _days_in_a_row(by_day, on)
    done = [c.on for c in chores if c.on <= on]
    due = [t for t in tasks if t.due_on == on]
    return Assessment(
        kind=FindingKind.MISTING_MISSED,
        urgency=Urgency.TODAY if days >= DAYS_TODAY else Urgency.WATCH,
        facts={
            "due_on": on.isoformat(),
            "missed": [_misting(t) for t in missed],
            "due": len(due),
            "days_in_a_row": days,
            "since_on": (on - (days - 1) * DAY).isoformat(),
            "last_on": max(done).isoformat() if done else None,
            "convention": CONVENTION,
        },
        rule_id=missed[0].rule_id,
        provenance=missed[0].provenance,
        enclosure=enclosure,
    )


def _days_in_a_row(by_day: dict[date, list[CareTask]], on: date) -> int:
    days = 0
    while by_day.get(on - days * DAY):
        days += 1
    return days


def _misting(task: CareTask) -> dict[str, Any]:
    if not isinstance(task.plan, MistPlan):
        raise TypeError(f"Task {task.key} plans {task.plan}, not a misting.")
    return {
        "time": task.plan.time.value,
        "minutes_low": task.plan.minutes_low,
        "minutes_high": task.plan.minutes_high,
    }
