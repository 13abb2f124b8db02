"""The nights of a finding, each with its evidence: to check it on paper."""

from datetime import date
from typing import Annotated, Any

from msgspec import Meta

from api.structs import Out
from core.models import User
from core.units import MassUnit, TemperatureUnit
from husbandry.models import Finding, Sighting
from husbandry.queries.mornings import earlier_spells, finding_nights
from husbandry.rules.sentences.findings import UNREADABLE, describe
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import FindingKind, Urgency


class FindingNightOut(Out, frozen=True):
    """What the review of one night said of a finding."""

    on: Annotated[date, Meta(description="The night's local day.")]
    seen: Annotated[
        bool,
        Meta(description="false: the data did not suffice to say; so it stayed open."),
    ]
    urgency: Annotated[
        Urgency | None, Meta(description="As of that night; null: not seen.")
    ]
    sentence: Annotated[
        str | None,
        Meta(
            description="Who and where, what was measured against what was wanted; in "
            "the units that the reader chose. null: not seen, or its numbers cannot be "
            "read by this version."
        ),
    ]
    evidence: Annotated[
        dict[str, Any],
        Meta(
            description="The numbers of that night as the review wrote them; units are "
            "in the names, conditions by `quantity`."
        ),
    ]


class FindingSpellOut(Out, frozen=True):
    """Another time that the same was wrong."""

    about = Finding
    id: Annotated[int, Meta(description="A finding of its own.")]
    opened_on: date
    last_seen_on: date
    closed_on: date | None
    nights_seen: int


class FindingNightsOut(Out, frozen=True):
    """A finding night by night, and when else it was so."""

    finding: Annotated[int, Meta(description="Its number.")]
    nights: Annotated[
        tuple[FindingNightOut, ...],
        Meta(
            description="The newest first. A night between that is missing was not "
            "reviewed, or nothing was measured in it."
        ),
    ]
    other_spells: Annotated[
        tuple[FindingSpellOut, ...],
        Meta(description="Of the same subject, the newest first; none withdrawn."),
    ]


def shown_nights(finding: Finding, *, reader: User) -> FindingNightsOut:
    """Return what each night said of a finding; two queries beside its site's.

    Args:
        finding: as stored.
        reader: in whose units its sentences are.
    """
    units = Units(TemperatureUnit(reader.temperature_unit), MassUnit(reader.mass_unit))
    nights = finding_nights(finding=finding)
    return FindingNightsOut(
        finding=finding.pk,
        nights=tuple(_night(night, units) for night in nights),
        other_spells=tuple(
            FindingSpellOut(
                id=spell.pk,
                opened_on=spell.opened_on,
                last_seen_on=spell.last_seen_on,
                closed_on=spell.closed_on,
                nights_seen=spell.nights_seen,
            )
            for spell in earlier_spells(finding=finding)
        ),
    )


def _night(said: Sighting, units: Units) -> FindingNightOut:
    return FindingNightOut(
        on=said.on,
        seen=said.seen,
        urgency=Urgency(said.urgency) if said.seen else None,
        sentence=_sentence(said, units) if said.seen else None,
        evidence=said.evidence,
    )


def _sentence(said: Sighting, units: Units) -> str | None:
    """Return a night in words; None: an earlier version wrote its numbers otherwise."""
    try:
        words = describe(FindingKind(said.kind), said.evidence, units=units)
    except UNREADABLE:
        return None
    return f"{words.who}: {words.what}"
