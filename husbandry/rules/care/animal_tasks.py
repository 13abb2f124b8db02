"""What falls due for one animal beside its feedings, and in which order."""

from collections.abc import Iterable
from datetime import date
from zoneinfo import ZoneInfo

from husbandry.rules.care.dose_tasks import dose_tasks
from husbandry.rules.care.facts import CaredAnimal
from husbandry.rules.care.follow_ups import awaited_result_tasks, follow_up_tasks
from husbandry.rules.care.stage_rules import ProfileRules
from husbandry.rules.care.tasks import CareTask
from husbandry.rules.care.watch_tasks import watch_tasks
from husbandry.rules.care.weighing_tasks import weighing_tasks
from husbandry.rules.vocabulary import TaskKind

ORDER = {kind: place for place, kind in enumerate(TaskKind)}


def tasks_beside_food(
    animal: CaredAnimal,
    rules: ProfileRules | None,
    *,
    zone: ZoneInfo,
    from_on: date,
    until_on: date,
) -> tuple[CareTask, ...]:
    """Return what falls due in a range beside food: from weighings to daily looks.

    Args:
        animal: with what is on record of it.
        rules: of its profile; None: it is not weighed.
        zone: of the site.
        from_on: first day of the range; days before it arrived are left out.
        until_on: last day of the range.
    """
    first_on = max(from_on, animal.arrived_on)
    found: tuple[CareTask, ...] = ()
    if rules is not None:
        found = weighing_tasks(
            animal, rules, zone=zone, from_on=first_on, until_on=until_on
        )
    if animal.prescriptions:
        found += dose_tasks(animal, zone=zone, from_on=first_on, until_on=until_on)
    return (
        *found,
        *asked_once(animal, from_on=first_on, until_on=until_on),
        *watch_tasks(animal, from_on=first_on, until_on=until_on),
    )


def asked_once(
    animal: CaredAnimal, *, from_on: date, until_on: date
) -> tuple[CareTask, ...]:
    """Return looking again and results of tests that fall due in a range.

    Args:
        animal: with its observations and tests.
        from_on: first day of the range.
        until_on: last day of the range.
    """
    if not animal.observations and not animal.tests:
        return ()
    return (
        *follow_up_tasks(animal, from_on=from_on, until_on=until_on),
        *awaited_result_tasks(animal, from_on=from_on, until_on=until_on),
    )


def in_order(tasks: Iterable[CareTask]) -> tuple[CareTask, ...]:
    """Return tasks of one subject by day and kind; what is equal in both stays."""
    return tuple(sorted(tasks, key=lambda task: (task.due_on, ORDER[task.kind])))
