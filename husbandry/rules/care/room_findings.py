"""Insects that a whole room is offered and that were not fed first."""

from collections.abc import Iterator, Sequence
from datetime import date
from zoneinfo import ZoneInfo

from husbandry.rules.assessments import Assessment
from husbandry.rules.care.facts import ChoreFact
from husbandry.rules.care.judging import CONVENTION, open_on
from husbandry.rules.care.tasks import CareTask, GutLoadPlan
from husbandry.rules.vocabulary import FindingKind, Urgency


def gut_loads_missed(
    room: int,
    tasks: Sequence[CareTask],
    chores: Sequence[ChoreFact],
    *,
    zone: ZoneInfo,
    recorded_from: date,
    on: date,
) -> Iterator[Assessment]:
    """Say which insects of a room should have been fed on a day and were not.

    Only that day's count, for they can still be fed, and offered later; what was
    offered on the days before cannot be mended. How often it was missed is told.

    Args:
        room: its key.
        tasks: its gut-loadings that were due, in order; empty: none was.
        chores: the gut-loadings of the room on record, in any order.
        zone: by whose clock times are told.
        recorded_from: first day on which the site recorded gut-loadings.
        on: the day, at its end.

    Yields:
        One for each feeder.

    Source:
        care-task-convention
    """
    judged = [t for t in tasks if recorded_from <= t.due_on <= on]
    missed = [t for t in judged if open_on(t, on)]
    for task in missed:
        if task.due_on != on:
            continue
        if not isinstance(task.plan, GutLoadPlan):
            raise TypeError(f"Task {task.key} plans {task.plan}, not a gut-loading.")
        plan = task.plan
        done = [c.on for c in chores if c.on <= on]
        same = [c.on for c in chores if c.on <= on and c.feeder == plan.feeder]
        yield Assessment(
            kind=FindingKind.GUT_LOAD_MISSED,
            urgency=Urgency.WATCH,
            facts={
                "feeder": plan.feeder,
                "feeder_name": plan.feeder_name,
                "due_on": on.isoformat(),
                "due_at": _clock(task, zone),
                "feeding_on": plan.feeding_on.isoformat(),
                "insects_low": plan.insects_low,
                "insects_high": plan.insects_high,
                "animals": plan.animals,
                "missed": len(missed),
                "of": len(judged),
                "counted_from_on": judged[0].due_on.isoformat(),
                "last_on": max(done).isoformat() if done else None,
                "last_same_on": max(same).isoformat() if same else None,
                "convention": CONVENTION,
            },
            rule_id=task.rule_id,
            provenance=task.provenance,
            detail=(plan.feeder,),
            room=room,
        )


def _clock(task: CareTask, zone: ZoneInfo) -> str | None:
    if task.due_at is None:
        return None
    return f"{task.due_at.astimezone(zone):%Y-%m-%d %H:%M}"
