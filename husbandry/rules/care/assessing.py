"""What a site's records of daily care show at the end of a day."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from husbandry.rules.assessments import Assessment
from husbandry.rules.care.facts import CaredAnimal, CareFacts, ChoreFact
from husbandry.rules.care.feeding_findings import feeding_missed
from husbandry.rules.care.feeding_slots import longest_days
from husbandry.rules.care.feeding_tasks import feeding_tasks
from husbandry.rules.care.follow_up_findings import follow_ups_overdue
from husbandry.rules.care.follow_ups import follow_up_tasks
from husbandry.rules.care.judging import DAY, begun_on, judged_from
from husbandry.rules.care.lamp_findings import lamps_overdue
from husbandry.rules.care.lamp_tasks import lamp_tasks
from husbandry.rules.care.misting_findings import misting_missed
from husbandry.rules.care.room_findings import gut_loads_missed
from husbandry.rules.care.site_findings import care_unrecorded
from husbandry.rules.care.stage_rules import ProfileRules, rules_of
from husbandry.rules.care.supplement_findings import supplements_missed, too_much_d3
from husbandry.rules.care.tasks import CareTask
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import ChoreKind, TaskKind

DAYS_OF_TASKS = 7

ByKind = Mapping[tuple[TaskKind, int | None], Sequence[CareTask]]


@dataclass(frozen=True, slots=True)
class _Day:
    """One site's records, in the order in which they are asked for."""

    facts: CareFacts
    on: date
    tasks: ByKind
    mistings: Mapping[int | None, Sequence[ChoreFact]]
    gut_loads: Mapping[int | None, Sequence[ChoreFact]]
    rules: Mapping[int, ProfileRules]


def assess_care(
    facts: CareFacts, tasks: Sequence[CareTask], *, on: date
) -> tuple[Assessment, ...]:
    """Say what of a site's daily care was missed, overdone or is overdue.

    A kind of care is judged from the day on which the site first recorded it; until
    then, and where lamps are on record nowhere, the site is told so once. Doses,
    signs and tests are judged elsewhere.

    Args:
        facts: what is on record of the site, up to the day at least; what was recorded
            for later days is passed over.
        tasks: everything that fell due on the day and the six before it.
        on: the day, at its end: what fell due on it and is open, is overdue.

    Returns:
        Animals, enclosures and rooms as the facts have them, then the site; of each
        subject and detail at most one of a kind.

    Source:
        care-task-convention
    """
    day = _sorted_out(facts, tasks, on)
    return (*_of_animals(day), *_of_enclosures(day), *_of_rooms(day), *_of_site(day))


def _of_animals(day: _Day) -> Iterator[Assessment]:
    facts, on = day.facts, day.on
    recorded_from = judged_from(facts, TaskKind.FEED, on=on)
    for animal in facts.animals:
        if recorded_from is not None:
            known_from = max(recorded_from, facts.since_on)
            due = _feedings_due(day, animal)
            found = feeding_missed(animal, due, known_from=known_from, on=on)
            if found is not None:
                yield found
            yield from supplements_missed(animal, known_from=known_from, on=on)
        overdone = too_much_d3(animal, on=on)
        if overdone is not None:
            yield overdone
        if animal.observations:
            looks = follow_up_tasks(animal, from_on=date.min, until_on=on)
            yield from follow_ups_overdue(animal, looks, on=on)


def _feedings_due(day: _Day, animal: CaredAnimal) -> Sequence[CareTask]:
    """Return the feedings of an animal that fell due, further back where it eats rarely.

    The week that is given may hold no feeding of an animal that eats every other week.
    """
    rules = day.rules.get(id(animal.profile))
    longest = longest_days(animal, rules)
    if longest < DAYS_OF_TASKS:
        return day.tasks.get((TaskKind.FEED, animal.id), ())
    return feeding_tasks(
        animal,
        rules,
        lights_on=None,
        zone=day.facts.zone,
        from_on=day.on - timedelta(longest),
        until_on=day.on,
        asked_on=day.on,
    )


def _of_enclosures(day: _Day) -> Iterator[Assessment]:
    facts, on = day.facts, day.on
    beneath, lived_in_from = _profiles_beneath(facts), _lived_in_from(facts)
    recorded_from = judged_from(facts, TaskKind.MIST, on=on)
    for enclosure in facts.enclosures.values():
        if recorded_from is not None:
            found = misting_missed(
                enclosure.id,
                day.tasks.get((TaskKind.MIST, enclosure.id), ()),
                day.mistings.get(enclosure.id, ()),
                recorded_from=max(
                    recorded_from, lived_in_from.get(enclosure.id, recorded_from)
                ),
                on=on,
            )
            if found is not None:
                yield found
        profile = beneath.get(enclosure.id)
        if profile is not None and enclosure.lamps:
            due = lamp_tasks(
                enclosure,
                profile,
                counted_on=facts.until_on,
                from_on=date.min,
                until_on=on,
            )
            yield from lamps_overdue(enclosure, profile, due, on=on)


def _of_rooms(day: _Day) -> Iterator[Assessment]:
    recorded_from = judged_from(day.facts, TaskKind.GUT_LOAD, on=day.on)
    if recorded_from is None:
        return
    for room in day.facts.rooms.values():
        yield from gut_loads_missed(
            room.id,
            day.tasks.get((TaskKind.GUT_LOAD, room.id), ()),
            day.gut_loads.get(room.id, ()),
            zone=day.facts.zone,
            recorded_from=recorded_from,
            on=day.on,
        )


def _of_site(day: _Day) -> Iterator[Assessment]:
    tasks = [task for tasks in day.tasks.values() for task in tasks]
    found = care_unrecorded(day.facts, tasks, on=day.on)
    if found is not None:
        yield found


def _sorted_out(facts: CareFacts, tasks: Sequence[CareTask], on: date) -> _Day:
    by_kind: dict[tuple[TaskKind, int | None], list[CareTask]] = defaultdict(list)
    for task in sorted(tasks, key=lambda t: (t.due_on, t.key)):
        subject = task.animal or task.enclosure or task.room
        by_kind[task.kind, subject].append(task)
    mistings: dict[int | None, list[ChoreFact]] = defaultdict(list)
    gut_loads: dict[int | None, list[ChoreFact]] = defaultdict(list)
    for chore in facts.chores:
        if chore.kind is ChoreKind.MISTING:
            mistings[chore.enclosure].append(chore)
        elif chore.kind is ChoreKind.GUT_LOADING:
            gut_loads[chore.room].append(chore)
    profiles = {id(a.profile): a.profile for a in facts.animals if a.profile}
    rules = {key: rules_of(profile) for key, profile in profiles.items()}
    return _Day(facts, on, by_kind, mistings, gut_loads, rules)


def _profiles_beneath(facts: CareFacts) -> Mapping[int, Profile]:
    """Return the profile of the first animal in each enclosure that has one."""
    beneath: dict[int, Profile] = {}
    for animal in facts.animals:
        if animal.enclosure is not None and animal.profile is not None:
            beneath.setdefault(animal.enclosure, animal.profile)
    return beneath


def _lived_in_from(facts: CareFacts) -> Mapping[int, date]:
    """Return the first whole day of the first animal in each enclosure."""
    lived_in: dict[int, date] = {}
    for animal in facts.animals:
        if animal.enclosure is not None:
            from_on = begun_on(animal) + DAY
            known_on = lived_in.setdefault(animal.enclosure, from_on)
            lived_in[animal.enclosure] = min(known_on, from_on)
    return lived_in
