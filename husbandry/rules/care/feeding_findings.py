"""Feedings that are due and not on record."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from husbandry.rules.assessments import Assessment
from husbandry.rules.care.facts import CaredAnimal, FeedingFact
from husbandry.rules.care.judging import (
    CONVENTION,
    DAY,
    begun_on,
    fasts_by,
    last_fast_on,
    missed_in_a_row,
    rhythm_on,
)
from husbandry.rules.care.tasks import CareTask, FeedPlan
from husbandry.rules.vocabulary import FindingKind, Urgency

# A gap of so many times the longest interval cannot wait.
INTERVALS_NOW = 3


def feeding_missed(
    animal: CaredAnimal, tasks: Sequence[CareTask], *, known_from: date, on: date
) -> Assessment | None:
    """Say that an animal was not fed when it should have been.

    Days without food are counted from the day after it was last fed, it came, it
    hatched, a fast ended, or from the first day of the site's records, whichever is
    the latest. While the next day's feeding would still keep to the longest interval,
    nothing is missed. Nothing is said while the animal fasts as agreed, nor on the
    eve of a fast, for then it must not be fed now; what was missed before a fast is
    forgotten with it.

    Args:
        animal: with its feedings and what was agreed about its food.
        tasks: its feedings that were due, in order; empty: none was.
        known_from: first day of which the site's feedings are known: none were recorded
            before it, or none are looked at.
        on: the day, at its end.

    Returns:
        None where the newest feeding that was due is done. It cannot wait once three
        times the longest interval have passed.

    Source:
        care-task-convention
    """
    rhythm = rhythm_on(animal, on)
    if rhythm is None or fasts_by(animal, on) or fasts_by(animal, on + DAY):
        return None
    last, fasted_on = last_feeding(animal, on), last_fast_on(animal, on)
    begun = max(begun_on(animal), known_from - DAY, fasted_on or date.min)
    missed = missed_in_a_row([t for t in tasks if t.due_on > begun], on=on)
    full_on = max(last.on, begun) if last else begun
    days = (on - full_on).days
    if not missed or days < rhythm[1]:
        return None
    newest = missed[-1]
    return Assessment(
        kind=FindingKind.FEEDING_MISSED,
        urgency=_urgency(days, every_days_high=rhythm[1]),
        facts={
            "due_on": newest.due_on.isoformat(),
            "since_on": missed[0].due_on.isoformat(),
            "missed": len(missed),
            # Tasks reach back some days only; before them others may be open.
            "more_before": missed[0] is tasks[0] and full_on + DAY < tasks[0].due_on,
            "days": days,
            "unfed_from_on": (full_on + DAY).isoformat(),
            "fasted_until_on": full_on.isoformat() if full_on == fasted_on else None,
            "every_days_low": rhythm[0],
            "every_days_high": rhythm[1],
            **_last(last),
            **_wanted(newest),
            "convention": CONVENTION,
        },
        rule_id=newest.rule_id,
        provenance=newest.provenance,
        animal=animal.id,
    )


def last_feeding(animal: CaredAnimal, on: date) -> FeedingFact | None:
    """Return the newest feeding up to a day, eaten or not; None: none on record."""
    return next((f for f in reversed(animal.feedings) if f.on <= on), None)


def _urgency(days: int, *, every_days_high: int) -> Urgency:
    late = days >= INTERVALS_NOW * every_days_high
    return Urgency.NOW if late else Urgency.TODAY


def _last(last: FeedingFact | None) -> dict[str, Any]:
    return {
        "last_on": last.on.isoformat() if last else None,
        "last_feeder": last.feeder if last else None,
        "last_offered": last.offered if last else None,
        "last_eaten": last.eaten if last else None,
    }


def _wanted(task: CareTask) -> dict[str, Any]:
    if not isinstance(task.plan, FeedPlan):
        raise TypeError(f"Task {task.key} plans {task.plan}, not a feeding.")
    plan = task.plan
    return {
        "portion_low": plan.portion_low,
        "portion_high": plan.portion_high,
        "unit": plan.unit,
        "assisted": plan.assisted,
        "agreed": plan.agreed,
    }
