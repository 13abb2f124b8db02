"""From what is known of an animal to the document that goes home with it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from husbandry.rules.profiles.values import Profile
from husbandry.rules.sentences.findings import describe
from husbandry.rules.vocabulary import FindingKind, Urgency
from placements.rules.packets import cautions, schemas
from placements.rules.packets.documents import Document, SourceLine
from placements.rules.packets.histories import (
    AnimalLine,
    ConditionLine,
    FindingLine,
    History,
    MassPoint,
    StayLine,
)
from placements.rules.packets.lines import basis
from placements.rules.packets.needs import Needs, ProfileVersion
from placements.rules.packets.planning import plan_care
from placements.rules.packets.plans import Basis, CarePlan, TextLine
from placements.rules.vocabulary import PlacementKind


@dataclass(frozen=True, slots=True)
class FindingFacts:
    """A finding as it is on record."""

    kind: FindingKind
    urgency: Urgency
    opened_on: date
    last_seen_on: date
    closed_on: date | None
    nights: int
    evidence: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class PacketFacts:
    """Everything that a packet is built from, gathered once.

    Attributes:
        on: the day the animal is to leave.
        known_until: the local day of making it.
        profile: the care profile in force on `on`; None where there is none.
    """

    on: date
    known_until: date
    time_zone: str
    kind: PlacementKind
    keeper: str
    keeper_contact: str
    animal: AnimalLine
    needs: Needs
    profile: ProfileVersion | None
    stays: tuple[StayLine, ...]
    weighings: tuple[MassPoint, ...]
    conditions: tuple[ConditionLine, ...]
    findings: tuple[FindingFacts, ...]


def build_document(facts: PacketFacts) -> Document:
    """Build the document of a packet: the same facts give the same document.

    Args:
        facts: gathered; an animal without weighings, stays, a known day of hatching
            or a care profile is accepted, and the document then says less.
    """
    profile = facts.profile.profile if facts.profile else None
    plan = plan_care(facts.profile, facts.needs, on=facts.on) if facts.profile else None
    told = _cautions(profile)
    return Document(
        schema=schemas.NEWEST,
        on=facts.on,
        known_until=facts.known_until,
        time_zone=facts.time_zone,
        kind=facts.kind,
        keeper=facts.keeper,
        keeper_contact=facts.keeper_contact,
        animal=facts.animal,
        plan=plan,
        history=History(
            stays=facts.stays,
            weighings=facts.weighings,
            conditions=facts.conditions,
            findings=tuple(_finding(f) for f in facts.findings),
        ),
        cautions=told,
        sources=_sources(plan, told, profile),
    )


def _finding(facts: FindingFacts) -> FindingLine:
    what, first_step, why = _words(facts)
    return FindingLine(
        kind=facts.kind,
        urgency=facts.urgency,
        opened_on=facts.opened_on,
        last_seen_on=facts.last_seen_on,
        closed_on=facts.closed_on,
        nights=facts.nights,
        what=what,
        first_step=first_step,
        why=why,
    )


def _words(facts: FindingFacts) -> tuple[str, str, str]:
    """Return what, first step and why; of evidence that is not whole, the kind.

    A finding may be older than the evidence that today's sentences want. The
    packet then still says that there was one, and of what kind.
    """
    try:
        words = describe(facts.kind, facts.evidence)
    except KeyError:
        return f"{facts.kind.value.replace('_', ' ').capitalize()}.", "", ""
    return words.what, words.first_step, words.why


def _cautions(profile: Profile | None) -> tuple[TextLine, ...]:
    """Return the profile's cautions, and the general ones it does not speak of."""
    own = tuple(
        TextLine(c.id, "", c.text, basis(c.provenance))
        for c in (profile.cautions if profile else ())
    )
    spoken_of = {line.id for line in own}
    return (*own, *(line for line in cautions.GENERAL if line.id not in spoken_of))


def _sources(
    plan: CarePlan | None, told: tuple[TextLine, ...], profile: Profile | None
) -> tuple[SourceLine, ...]:
    used = {line.basis.source for line in told}
    if plan is not None:
        used |= {found.source for found in _bases(plan)}
    known = {
        s.key: SourceLine(s.key, s.title, s.kind.value, s.year, s.where)
        for s in (profile.sources if profile else ())
    }
    general = {s.key: s for s in cautions.SOURCES}
    return tuple(s for key, s in sorted((general | known).items()) if key in used)


def _bases(plan: CarePlan) -> Iterator[Basis]:
    for target in plan.targets:
        yield target.basis
        yield from (other.basis for other in target.others)
    rules = (plan.light, plan.room, plan.company, plan.feeding, plan.weighing)
    yield from (rule.basis for rule in rules if rule is not None)
    if plan.laying is not None:
        yield plan.laying
    for lines in (
        plan.feeders,
        plan.supplements,
        plan.masses,
        plan.first_things,
        plan.checklist,
        plan.signs,
        plan.notes,
    ):
        yield from (line.basis for line in lines)
