"""Animals at which somebody should have looked again."""

from collections.abc import Iterable, Iterator
from datetime import date

from husbandry.rules.assessments import Assessment
from husbandry.rules.care.facts import CaredAnimal
from husbandry.rules.care.judging import CONVENTION, open_on
from husbandry.rules.care.tasks import CareTask, LookPlan
from husbandry.rules.vocabulary import FindingKind, Urgency


def follow_ups_overdue(
    animal: CaredAnimal, tasks: Iterable[CareTask], *, on: date
) -> Iterator[Assessment]:
    """Say at what nobody looked again by the day that was agreed.

    Args:
        animal: whose.
        tasks: its second looks, due however long ago.
        on: the day, at its end; a look that fell due on it is overdue.

    Yields:
        One for each observation that asked for it, for each of them may be another
        wound.

    Source:
        care-task-convention
    """
    seen_on = [o.on for o in animal.observations if o.on <= on]
    for task in tasks:
        if task.due_on > on or not open_on(task, on):
            continue
        if not isinstance(task.plan, LookPlan):
            raise TypeError(f"Task {task.key} plans {task.plan}, not a second look.")
        yield Assessment(
            kind=FindingKind.FOLLOW_UP_OVERDUE,
            urgency=Urgency.TODAY,
            facts={
                "observation": task.plan.about,
                "text": task.plan.text,
                "seen_on": task.plan.since_on.isoformat(),
                "due_on": task.due_on.isoformat(),
                "days_overdue": (on - task.due_on).days,
                "last_on": max(seen_on).isoformat() if seen_on else None,
                "convention": CONVENTION,
            },
            detail=(str(task.plan.about),),
            animal=animal.id,
        )
