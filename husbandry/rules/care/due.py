"""What falls due, for one animal and for a whole site; nothing of it is stored."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, time, timedelta
from zoneinfo import ZoneInfo

from husbandry.rules.care.animal_tasks import asked_once, in_order, tasks_beside_food
from husbandry.rules.care.enclosure_tasks import lamps_of, mistings_of
from husbandry.rules.care.facts import CaredAnimal, CareFacts
from husbandry.rules.care.feeding_tasks import feeding_tasks
from husbandry.rules.care.room_tasks import Offer, gut_load_tasks, offer_days
from husbandry.rules.care.site_walk import Place, Walk, walk_of
from husbandry.rules.care.stage_rules import RulesByProfile, rules_of
from husbandry.rules.care.tasks import CareTask

_ONE_DAY = timedelta(1)


def tasks_of_animal(
    animal: CaredAnimal,
    *,
    lights_on: time | None,
    zone: ZoneInfo,
    from_on: date,
    until_on: date,
    asked_on: date | None = None,
) -> tuple[CareTask, ...]:
    """Return what falls due for one animal in a range of days.

    Feedings, weighings, doses, looking again, results of tests, and daily looks at one
    that is gravid. Before it arrived nothing is due; without a care profile only what
    people ordered is, and looks.

    Args:
        animal: with what is on record of it.
        lights_on: when its lights come on; None: it has no enclosure, and no hour of
            feeding is named.
        zone: of the site.
        from_on: first day of the range.
        until_on: last day of the range; before the first, nothing is due.
        asked_on: see `tasks_due`.

    Returns:
        By the day on which it falls due, then by kind.

    Source:
        care-task-convention
    """
    rules = rules_of(animal.profile) if animal.profile else None
    feedings = feeding_tasks(
        animal,
        rules,
        lights_on=lights_on,
        zone=zone,
        from_on=from_on,
        until_on=until_on,
        asked_on=asked_on or from_on,
    )
    rest = tasks_beside_food(
        animal, rules, zone=zone, from_on=from_on, until_on=until_on
    )
    return in_order((*feedings, *rest))


def tasks_due(
    facts: CareFacts,
    *,
    from_on: date,
    until_on: date,
    asked_on: date | None = None,
) -> tuple[CareTask, ...]:
    """Return everything that falls due at a site, or in a room, in a range of days.

    Tasks that fell due before the site first recorded that kind of care are left
    out: nobody can tell what was not recorded from what was not done. Where it was
    never recorded, they are there, so that somebody can begin.

    A range holds what its days hold, each asked on the same day. What an open feeding
    to come is dusted with hangs on those between the day of asking and its own, which
    are taken to be done as planned; up to the last feeding on record the record alone
    decides, and the day of asking does not matter.

    Args:
        facts: what is on record; what lies after its last day is not known.
        from_on: first day of the range; feedings must be on record from the longest
            interval before it on.
        until_on: last day of the range; before the first, nothing is due.
        asked_on: the day on which the tasks are to be done, if they still can be;
            open feedings due before it, whose successor is due, are past. None: the
            first day of the range.

    Returns:
        As the rooms are walked, quarantine last: what is for the room, then for each
        enclosure what is for it and then for its animals, each by its day. Animals
        without an enclosure come at the end. Every key is there once.

    Source:
        care-task-convention
    """
    if from_on > until_on:
        return ()
    work = _Work(
        facts, walk_of(facts), RulesByProfile(), from_on, until_on, asked_on or from_on
    )
    return tuple(task for task in _walked(work) if _judged(facts, task))


def standing_tasks(facts: CareFacts, *, on: date) -> tuple[CareTask, ...]:
    """Return what fell due once, before a day, and is still open.

    Lamps to measure or replace, looking again, and results of tests stay due until
    they are done, however long ago the day was; feedings, weighings and misting give
    way to the next.

    Args:
        facts: what is on record.
        on: the day; what falls due on it is not among them.

    Returns:
        In the order of `tasks_due`.
    """
    before_on = on - _ONE_DAY
    tasks = (
        task
        for place in walk_of(facts).places
        for task in (
            *in_order(
                lamps_of(
                    place,
                    counted_on=facts.until_on,
                    from_on=date.min,
                    until_on=before_on,
                )
            ),
            *(
                task
                for animal in place.animals
                for task in in_order(
                    asked_once(animal, from_on=date.min, until_on=before_on)
                )
            ),
        )
    )
    return tuple(task for task in tasks if task.is_open and _judged(facts, task))


@dataclass(frozen=True, slots=True)
class _Work:
    """One walk through a site, for one range of days."""

    facts: CareFacts
    walk: Walk
    rules: RulesByProfile
    from_on: date
    until_on: date
    asked_on: date


def _judged(facts: CareFacts, task: CareTask) -> bool:
    first_on = facts.first_recorded_on.get(task.kind)
    return first_on is None or task.due_on >= first_on


def _walked(work: _Work) -> Iterator[CareTask]:
    for room, places in work.walk.by_room():
        offers: list[Offer] = []
        tasks: list[CareTask] = []
        for place in places:
            tasks += _of_enclosure(work, place)
            for animal in place.animals:
                tasks += _of_animal(work, place, animal, offers)
        if room is not None:
            yield from _of_room(work, room, offers)
        yield from tasks


def _of_room(work: _Work, room: int, offers: list[Offer]) -> Iterator[CareTask]:
    chores = work.walk.room_chores(room)
    for task in gut_load_tasks(room, offers, chores, zone=work.facts.zone):
        if work.from_on <= task.due_on <= work.until_on:
            yield task


def _of_enclosure(work: _Work, place: Place) -> tuple[CareTask, ...]:
    if place.enclosure is None:
        return ()
    mistings = mistings_of(
        place.enclosure,
        place.animals,
        work.walk.enclosure_chores(place.enclosure.id),
        work.rules,
        zone=work.facts.zone,
        from_on=work.from_on,
        until_on=work.until_on,
    )
    lamps = lamps_of(
        place,
        counted_on=work.facts.until_on,
        from_on=work.from_on,
        until_on=work.until_on,
    )
    return in_order((*mistings, *lamps))


def _of_animal(
    work: _Work, place: Place, animal: CaredAnimal, offers: list[Offer]
) -> tuple[CareTask, ...]:
    """Return an animal's tasks; put down what it is offered on the days around too."""
    rules = work.rules.of(animal.profile)
    gut_load = animal.profile.gut_load if animal.profile else None
    before, after = offer_days(gut_load) if gut_load else (0, 0)
    feedings = feeding_tasks(
        animal,
        rules,
        lights_on=place.enclosure.lights_on if place.enclosure else None,
        zone=work.facts.zone,
        from_on=work.from_on - timedelta(before),
        until_on=work.until_on + timedelta(after),
        asked_on=work.asked_on,
    )
    if gut_load:
        offers += [Offer(task, gut_load) for task in feedings]
    rest = tasks_beside_food(
        animal,
        rules,
        zone=work.facts.zone,
        from_on=work.from_on,
        until_on=work.until_on,
    )
    here = [t for t in feedings if work.from_on <= t.due_on <= work.until_on]
    return in_order((*here, *rest))
