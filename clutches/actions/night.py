"""What breeding adds to the nightly review: gather, decide, and what to write."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import chain
from typing import Any

from clutches.actions.forecasts import write_forecasts
from clutches.actions.incubation import write_incubator_days
from clutches.queries.night import clutch_night
from clutches.rules.facts import ClutchNight, EggGroup
from clutches.rules.forecasting import Window, assess_hatching, forecasts_of
from clutches.rules.incubation import (
    IncubatorClimate,
    assess_incubation,
    climate_of,
)
from clutches.rules.layings import assess_females
from clutches.rules.sexing import assess_sexing
from clutches.rules.today import with_today
from husbandry.actions.night_parts import Night, NightPart
from husbandry.rules.assessments import Assessment
from husbandry.rules.findings import Seen, key_of
from husbandry.rules.night import evidence
from husbandry.rules.night.facts import NightFacts
from husbandry.rules.night.fencing import fenced
from husbandry.rules.night.parts import PartAssessment

Group = tuple[int, int]


def judge_clutches(night: Night) -> NightPart:
    """Judge the eggs, breeding females and hatchlings of one site's night.

    Args:
        night: as the review gathered it.

    Returns:
        What is wrong, what the probes' own review need not say, and what to write:
        how warm incubators were, and when eggs are expected to hatch.
    """
    facts = clutch_night(site=night.site, facts=night.facts)
    climate = climate_of(night.facts, night.readings, night.probe_ids)
    windows, failures = _windows(facts, climate)
    incubation = assess_incubation(facts, climate)
    found = chain(
        incubation.assessments,
        assess_hatching(facts, windows),
        assess_females(facts),
        assess_sexing(facts),
    )

    def write() -> None:
        write_incubator_days(climate, site=night.site, on=facts.day.on)
        write_forecasts(windows=windows, site=night.site, on=facts.day.on)

    return NightPart(
        PartAssessment(
            seen=tuple(_sightings(found, night.facts, facts)),
            supersedes=incubation.supersedes,
            failures=tuple(failures),
        ),
        write,
    )


def _windows(
    facts: ClutchNight, climate: IncubatorClimate
) -> tuple[dict[Group, Window], list[tuple[str, str]]]:
    """Forecast each group; one whose records make a rule raise stops no other."""
    found, failures = fenced(facts.groups, lambda some: _forecast(some, facts, climate))
    return dict(found), [(group.clutch_code, error) for group, error in failures]


def _forecast(
    groups: Sequence[EggGroup], facts: ClutchNight, climate: IncubatorClimate
) -> Iterable[tuple[Group, Window]]:
    keys = [(group.clutch, group.box) for group in groups]
    tracks = {
        key: with_today(facts.tracks[key], facts.spells[key], climate) for key in keys
    }
    night = replace(facts, groups=tuple(groups), tracks=tracks)
    return forecasts_of(night).items()


def _sightings(
    found: Iterable[Assessment], facts: NightFacts, clutches: ClutchNight
) -> Iterator[Seen]:
    animals = {animal.id: animal for animal in facts.animals}
    versions = {key: version for key, (version, _) in clutches.profiles.items()}
    for one in found:
        if one.animal is not None and one.animal not in animals:
            continue
        place = facts.enclosures.get(one.enclosure) if one.enclosure else None
        told: Mapping[str, Any] = evidence.of_place(place)
        version = None
        if one.animal is not None:
            animal = animals[one.animal]
            told = evidence.of_animal(animal, evidence.home(animal, facts))
            version = versions.get(animal.species)
        yield Seen(
            key=_key(one),
            kind=one.kind,
            urgency=one.urgency,
            decided=one.decided,
            animal=one.animal,
            enclosure=one.enclosure,
            probe=None,
            evidence={
                **told,
                **one.facts,
                "basis": evidence.row_basis(
                    one.provenance, row=one.rule_id, version=version
                ),
            },
        )


def _key(one: Assessment) -> str:
    """Return a key that stays the same when a box is moved to another incubator."""
    if one.animal is not None:
        return key_of(one.kind, "animal", one.animal, *one.detail)
    if one.detail[:1] in (("box",), ("clutch",)) or one.enclosure is None:
        subject, identity, *detail = one.detail
        return key_of(one.kind, subject, identity, *detail)
    return key_of(one.kind, "enclosure", one.enclosure, *one.detail)
