"""From when on a site's care is judged, and how it went on the days before.

Nobody can tell care that was not recorded from care that was not given; so a kind of
care is judged only from the day on which the site first recorded it.
"""

from collections.abc import Sequence
from datetime import date, timedelta

from husbandry.rules.care.facts import CaredAnimal, CareFacts, OrderFact
from husbandry.rules.care.tasks import CareTask
from husbandry.rules.profiles.resolving import feeding_for, stage_on
from husbandry.rules.vocabulary import FeedingOrderKind, TaskKind

CONVENTION = "care-task-convention"
DAY = timedelta(days=1)


def judged_from(facts: CareFacts, kind: TaskKind, *, on: date) -> date | None:
    """Return the day from which a site's care of a kind is judged.

    Args:
        facts: what is on record.
        kind: of the care.
        on: the day asked about; what was first recorded after it was not known then.

    Returns:
        The day of the first record; None: there is none yet.

    Source:
        care-task-convention
    """
    first_on = facts.first_recorded_on.get(kind)
    return first_on if first_on is not None and first_on <= on else None


def missed_in_a_row(tasks: Sequence[CareTask], *, on: date) -> tuple[CareTask, ...]:
    """Return the newest tasks of which none was done by the end of a day.

    Args:
        tasks: of one kind and subject, in the order in which they are due.
        on: the day asked about; tasks of later days are passed over, and what was
            done later was still open on it.

    Returns:
        In order; empty where the newest is done.
    """
    missed: list[CareTask] = []
    for task in reversed([t for t in tasks if t.due_on <= on]):
        if not open_on(task, on):
            break
        missed.append(task)
    return tuple(reversed(missed))


def open_on(task: CareTask, on: date) -> bool:
    """Say whether a task was not yet done at the end of a day."""
    return task.done_on is None or task.done_on > on


def begun_on(animal: CaredAnimal) -> date:
    """Return the day on which care of an animal began here: it came or it hatched."""
    if animal.hatched_on is None:
        return animal.arrived_on
    return max(animal.arrived_on, animal.hatched_on)


def stage_code(animal: CaredAnimal, on: date) -> str | None:
    """Return the life stage of an animal on a day; None: not known."""
    if animal.profile is None:
        return None
    stage = stage_on(animal.profile, hatched_on=animal.hatched_on, on=on)
    return stage.code if stage else None


def rhythm_on(animal: CaredAnimal, on: date) -> tuple[int, int] | None:
    """Return every how many days an animal is fed: at least, at most.

    Returns:
        What was agreed for it, before what its profile says; of several agreements
        the one begun last. None: nobody says anything.
    """
    for order in sorted(_in_force(animal, on), key=_begun, reverse=True):
        if order.kind is not FeedingOrderKind.FAST and order.every_days is not None:
            return order.every_days, order.every_days
    if animal.profile is None:
        return None
    rule = feeding_for(animal.profile, stage_code(animal, on))
    return (rule.every_days_low, rule.every_days_high) if rule else None


def fasts_by(animal: CaredAnimal, on: date) -> bool:
    """Say whether an animal must not eat on a day."""
    return any(o.kind is FeedingOrderKind.FAST for o in _in_force(animal, on))


def last_fast_on(animal: CaredAnimal, on: date) -> date | None:
    """Return the last day, up to a day, of the fasts that were agreed; None: none."""
    return max(
        (
            min(o.until_on, on)
            for o in animal.orders
            if o.kind is FeedingOrderKind.FAST and o.from_on <= on
        ),
        default=None,
    )


def _in_force(animal: CaredAnimal, on: date) -> list[OrderFact]:
    return [o for o in animal.orders if o.from_on <= on <= o.until_on]


def _begun(order: OrderFact) -> tuple[date, int]:
    return order.from_on, order.id
