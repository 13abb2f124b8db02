"""Females that carry eggs or young are looked at every day."""

from datetime import date, timedelta

from husbandry.rules.care.facts import CaredAnimal
from husbandry.rules.care.task_keys import animal_key
from husbandry.rules.care.tasks import CareTask, WatchPlan
from husbandry.rules.vocabulary import ObservationKind, Sex, TaskKind
from husbandry.rules.weights import GravidSpell

# What somebody sees who looks at her: bright or weak, digging, laying.
CLOSED_BY = frozenset(
    {ObservationKind.ALERTNESS, ObservationKind.DIGGING, ObservationKind.LAYING}
)
_ONE_DAY = timedelta(days=1)


def watch_tasks(
    animal: CaredAnimal, *, from_on: date, until_on: date
) -> tuple[CareTask, ...]:
    """Return on which days of a range somebody looks at a gravid animal, in order.

    Every day of a gravid spell but its last, which is that of laying. What is seen on
    another day closes nothing: she is looked at every day.

    Args:
        animal: with its gravid spells and its observations in force; one on record as
            male carries nothing, whatever an old spell says.
        from_on: first day of the range.
        until_on: last day of the range.

    Source:
        care-task-convention
    """
    if animal.sex is Sex.MALE or not animal.gravid:
        return ()
    seen = {seen.on for seen in animal.observations if seen.kind in CLOSED_BY}
    return tuple(
        _task(animal, spell, on, seen)
        for spell in animal.gravid
        for on in _days(spell, from_on=from_on, until_on=until_on)
    )


def _days(spell: GravidSpell, *, from_on: date, until_on: date) -> tuple[date, ...]:
    first_on, last_on = max(from_on, spell.from_on), until_on
    if spell.until_on is not None:
        last_on = min(last_on, spell.until_on - _ONE_DAY)
    days = (last_on - first_on).days + 1
    return tuple(first_on + timedelta(days=n) for n in range(max(days, 0)))


def _task(
    animal: CaredAnimal, spell: GravidSpell, on: date, seen: set[date]
) -> CareTask:
    return CareTask(
        key=animal_key(TaskKind.WATCH, animal.id, on),
        kind=TaskKind.WATCH,
        due_on=on,
        due_at=None,
        animal=animal.id,
        enclosure=None,
        room=None,
        plan=WatchPlan(spell.from_on),
        done_on=on if on in seen else None,
        rule_id="",
        provenance=None,
    )
