"""A finding as it stands on the morning sheet."""

import logging
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from husbandry.models import Acknowledgement, Finding
from husbandry.queries.mornings import MorningFinding
from husbandry.rules.findings import URGENCY_ORDER
from husbandry.rules.sentences.findings import (
    UNREADABLE,
    Words,
    basis,
    describe,
    describe_unreadable,
)
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import FindingKind, Urgency
from staff.evidence import Row, evidence_rows
from staff.units import clock, count, weekday

logger = logging.getLogger(__name__)

K = FindingKind
# What is not known, as distinct from what is wrong.
UNKNOWN = frozenset(
    {
        *(K.NO_DATA, K.STUCK_PROBE, K.IMPOSSIBLE_VALUES, K.UNMEASURED_TARGET),
        *(K.NO_PROFILE, K.STAGE_UNKNOWN, K.NOT_REVIEWED),
        *(K.EGGS_UNMEASURED, K.EGGS_UNPLACED),
    }
)
WEIGHTS = frozenset({K.WEIGHT_LOSS, K.GROWTH_STALLED, K.WEIGHT_OUT_OF_BAND})
OF_PROBES = frozenset(
    {
        *(K.ABOVE_TARGET, K.BELOW_TARGET),
        *(K.NO_DATA, K.STUCK_PROBE, K.IMPOSSIBLE_VALUES),
    }
)
# A day of a probe, or the weights of an animal, can show these.
PICTURED = WEIGHTS | OF_PROBES


@dataclass(frozen=True, slots=True)
class Said:
    """What a person said of a finding."""

    by: str
    at: str
    note: str
    quiet_until: str


@dataclass(frozen=True, slots=True)
class Card:
    """A finding in words, with all that the page shows of it.

    Attributes:
        mark: `unknown` where data are missing, else the urgency.
        since: the first night, and on how many nights it was seen.
        basis: on whose word the wanted value stands; who says otherwise is in the
            words.
        undecided: set where the night itself could not say, because of missing data.
        quiet: a person moved it below the others, and it is not urgent now.
    """

    id: int
    site: str
    urgency: Urgency
    mark: str
    words: Words
    basis: str
    animal_id: int | None
    since: str
    new: bool
    undecided: str
    pictured: bool
    night: date
    rows: tuple[Row, ...]
    said: tuple[Said, ...]
    quiet: bool
    open: bool


def card(found: MorningFinding, *, units: Units, with_site: bool = False) -> Card:
    """Return a finding as it stood after a night, ready to be shown.

    Args:
        found: with site, animal, enclosure, probe and acknowledgements at hand.
        units: the units the reader chose.
        with_site: whether to name the site, where there are several.
    """
    row, kind = found.row, FindingKind(found.row.kind)
    words, rows = _told(row, kind, found.evidence, units)
    zone = ZoneInfo(row.site.time_zone)
    said = list(row.acknowledgements.all())
    return Card(
        id=row.pk,
        site=row.site.name if with_site else "",
        urgency=found.urgency,
        mark="unknown" if kind in UNKNOWN else found.urgency.value,
        words=words,
        basis=words.basis and _own_basis(found.evidence),
        animal_id=row.animal_id,
        since=f"Since {weekday(row.opened_on)}, seen on {count(found.nights, 'night')}",
        new=row.opened_on == found.on,
        undecided=_undecided(found),
        pictured=kind in PICTURED,
        night=found.seen_on,
        rows=rows,
        said=tuple(_said(a, zone) for a in said),
        quiet=_is_quiet(said, found),
        open=row.closed_on is None and row.withdrawn_on is None,
    )


def _told(
    row: Finding, kind: FindingKind, evidence: Mapping[str, Any], units: Units
) -> tuple[Words, tuple[Row, ...]]:
    """Put a finding into words; one that cannot be read must not hide the others."""
    try:
        return (
            describe(kind, evidence, units=units),
            evidence_rows(evidence, units=units, kind=kind),
        )
    except UNREADABLE:
        logger.exception("the evidence of finding %s cannot be read", row.pk)
        who = str(row.animal or row.enclosure or row.probe or row.key)
        return (
            describe_unreadable(kind, who=who),
            tuple(Row(str(name), str(value)) for name, value in evidence.items()),
        )


def _own_basis(evidence: Mapping[str, Any]) -> str:
    """Return source and standing alone, without those who say otherwise."""
    return basis({**evidence, "basis": {**evidence["basis"], "others": []}})


def _undecided(found: MorningFinding) -> str:
    if found.seen_on >= found.on:
        return ""
    return (
        f"The data of {weekday(found.on)} do not say whether it is still so. These "
        f"numbers are of {weekday(found.seen_on)}."
    )


def _is_quiet(said: list[Acknowledgement], found: MorningFinding) -> bool:
    """Say whether somebody moved it below; what is urgent now is never moved."""
    if not said or found.urgency is Urgency.NOW:
        return False
    until = said[0].quiet_until
    morning = found.on + timedelta(days=1)
    return until is not None and until > morning


def _said(row: Acknowledgement, zone: ZoneInfo) -> Said:
    return Said(
        by=str(row.by),
        at=clock(row.at, zone),
        note=row.note,
        quiet_until=weekday(row.quiet_until) if row.quiet_until else "",
    )


def worst_first(found: MorningFinding) -> tuple[int, bool]:
    """Return what findings are sorted by: urgency, then those nobody has seen."""
    return URGENCY_ORDER[found.urgency], bool(found.row.acknowledgements.all())
