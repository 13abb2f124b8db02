"""What rescue and placement add to the nightly review; nothing is written."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from itertools import chain
from typing import Any

from core.models import Site
from husbandry.actions.night_parts import Night, NightPart
from husbandry.rules.assessments import Assessment
from husbandry.rules.findings import Seen, key_of
from husbandry.rules.night import evidence
from husbandry.rules.night.facts import NightFacts
from husbandry.rules.night.fencing import fenced
from husbandry.rules.night.parts import PartAssessment
from placements.queries.follow_ups import after_facts
from placements.queries.intakes import species_unsure
from placements.queries.papers import papers_due
from placements.queries.quarantine import quarantine_states
from placements.queries.standings import placement_states
from placements.queries.subjects import Subject, species_names, subjects
from placements.rules.follow_ups import assess_follow_ups
from placements.rules.intakes import assess_unsure
from placements.rules.papers.assessing import assess_papers
from placements.rules.papers.facts import PaperFacts
from placements.rules.quarantine.assessing import assess_quarantine
from placements.rules.standings import assess_placements


def judge_placements(night: Night) -> NightPart:
    """Judge newcomers, quarantine, papers, placements and homes of one site's night.

    Args:
        night: as the review gathered it.

    Returns:
        What is wrong, as of the end of that day.
    """
    on = night.facts.day.on
    papers = papers_due(site=night.site, on=on)
    kept_apart, failures = fenced(
        quarantine_states(site=night.site, on=on), assess_quarantine
    )
    leaving, stuck = fenced(
        placement_states(site=night.site, on=on),
        lambda some: assess_placements(some, on),
    )
    found = list(
        chain(
            kept_apart, leaving, assess_papers(papers, on=on), _others(night.site, on)
        )
    )
    told = _Tellers(found, papers, night.facts)
    return NightPart(
        PartAssessment(
            seen=tuple(told.sighting(one) for one in found),
            failures=(
                *((state.code, error) for state, error in failures),
                *((standing.code, error) for standing, error in stuck),
            ),
        )
    )


def _others(site: Site, on: date) -> Iterator[Assessment]:
    yield from assess_unsure(species_unsure(site=site, on=on), on)
    yield from assess_follow_ups(after_facts(site=site, on=on), on=on)


class _Tellers:
    """Names whom an assessment is about: of the night, away, or of a species."""

    def __init__(
        self,
        found: Iterable[Assessment],
        papers: Sequence[PaperFacts],
        facts: NightFacts,
    ) -> None:
        found = list(found)
        self._facts = facts
        self._here = {animal.id: animal for animal in facts.animals}
        self._animals, self._placements = subjects(
            animal_ids={one.animal for one in found if one.animal} - set(self._here),
            placement_ids={one.facts["placement"] for one in found if _away(one)},
        )
        species = {str(p.id): p.species for p in papers if p.species is not None}
        names = species_names(species_ids=set(species.values()))
        self._species = {key: names[pk] for key, pk in species.items()}

    def sighting(self, one: Assessment) -> Seen:
        """Return an assessment as the night takes it."""
        subject = self._subject(one)
        return Seen(
            key=_key(one),
            kind=one.kind,
            urgency=one.urgency,
            decided=one.decided,
            animal=subject.animal if subject else None,
            enclosure=None,
            probe=None,
            evidence={**self._who(one, subject), **one.facts},
        )

    def _subject(self, one: Assessment) -> Subject | None:
        if one.animal is None:
            return self._placements[one.facts["placement"]] if _away(one) else None
        here = self._here.get(one.animal)
        return Subject(here.id, here.label) if here else self._animals[one.animal]

    def _who(self, one: Assessment, subject: Subject | None) -> dict[str, Any]:
        if subject is None:
            return {"species": self._species.get(one.detail[-1], "")}
        here = self._here.get(subject.animal)
        if here is None:
            return {"animal": subject.label}
        return evidence.of_animal(here, evidence.home(here, self._facts))


def _away(one: Assessment) -> bool:
    return one.animal is None and "placement" in one.facts


def _key(one: Assessment) -> str:
    if one.animal is not None:
        return key_of(one.kind, "animal", one.animal, *one.detail)
    subject, identity, *detail = one.detail
    return key_of(one.kind, subject, identity, *detail)
