"""What daily care and health say of a night, made into sightings."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import timedelta
from typing import Any

from husbandry.rules.assessments import Assessment
from husbandry.rules.care.assessing import assess_care
from husbandry.rules.care.due import tasks_due
from husbandry.rules.care.facts import CareFacts
from husbandry.rules.findings import Seen, key_of
from husbandry.rules.health.assessing import assess_health
from husbandry.rules.night import evidence
from husbandry.rules.night.facts import AnimalFacts, NightFacts
from husbandry.rules.night.fencing import fenced

# So many days of tasks are computed before the night: what is overdue for longer is
# known by when it was last done.
LOOK_BACK = timedelta(days=6)


def judge_care(
    facts: NightFacts, care: CareFacts
) -> tuple[list[Seen], list[tuple[int, str]]]:
    """Say what of daily care was not done, and what health asks for.

    Args:
        facts: what is known of the night.
        care: what is on record of care, up to the end of that day.

    Returns:
        Sightings, and the keys of animals whose own records made a rule raise, with
        the error; the others are judged all the same.
    """
    found, failures = fenced(
        care.animals, lambda animals: _assess(replace(care, animals=tuple(animals)))
    )
    seen = list(_sightings(facts, care, found))
    return seen, [(animal.id, error) for animal, error in failures]


def _assess(facts: CareFacts) -> Iterator[Assessment]:
    on = facts.until_on
    tasks = tasks_due(facts, from_on=on - LOOK_BACK, until_on=on)
    yield from assess_care(facts, tasks, on=on)
    yield from assess_health(facts, on=on)


def _sightings(
    facts: NightFacts, care: CareFacts, found: Iterable[Assessment]
) -> Iterator[Seen]:
    known = {animal.id: animal for animal in facts.animals}
    for one in found:
        if one.animal is not None and one.animal not in known:
            continue
        subject, identity, told = _subject(facts, care, one, known)
        yield Seen(
            key=key_of(one.kind, subject, identity, *one.detail),
            kind=one.kind,
            urgency=one.urgency,
            decided=one.decided,
            animal=one.animal,
            enclosure=one.enclosure,
            probe=None,
            evidence={**told, **one.facts, "basis": _basis(facts, one, known)},
        )


def _subject(
    facts: NightFacts,
    care: CareFacts,
    one: Assessment,
    known: dict[int, AnimalFacts],
) -> tuple[str, int, dict[str, Any]]:
    if one.animal is not None:
        animal = known[one.animal]
        told = evidence.of_animal(animal, evidence.home(animal, facts))
        return "animal", one.animal, told
    if one.enclosure is not None:
        place = evidence.of_place(facts.enclosures.get(one.enclosure))
        return "enclosure", one.enclosure, place
    if one.room is not None:
        return "room", one.room, {"room": care.rooms[one.room].name}
    return "site", care.site, {"site": facts.site_name}


def _basis(
    facts: NightFacts, one: Assessment, known: dict[int, AnimalFacts]
) -> evidence.Json | None:
    animal = known.get(one.animal) if one.animal is not None else None
    profile = facts.profiles.get(animal.species) if animal else None
    version = profile.version if profile else None
    return evidence.row_basis(one.provenance, row=one.rule_id, version=version)
