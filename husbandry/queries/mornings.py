"""Findings as they stood in the morning after a night."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Prefetch, Q, QuerySet

from husbandry.models import (
    Acknowledgement,
    Animal,
    Finding,
    Sighting,
)
from husbandry.rules.vocabulary import Urgency


@dataclass(frozen=True, slots=True)
class MorningFinding:
    """A finding as it stood in the morning after one night.

    Attributes:
        urgency: as of the last night that saw it until then; evidence likewise.
        seen_on: that night. Earlier than `on`: the night itself could not say.
        nights: on how many nights it had been seen by then.
    """

    row: Finding
    on: date
    urgency: Urgency
    evidence: Mapping[str, Any]
    seen_on: date
    nights: int


def findings_by_morning(
    *, nights: Mapping[int, date]
) -> tuple[tuple[MorningFinding, ...], tuple[Finding, ...]]:
    """Return what stood open in the mornings after some nights, and what had closed.

    Args:
        nights: the night to show, by site.

    Returns:
        Findings that stood open, with urgency and evidence as of that night, in
        walking order of the rooms; and those that the night no longer saw. The
        number of queries does not depend on how many there are.
    """
    rows = list(_with_places(_open_after(nights)))
    closed = tuple(_with_places(_closed_by(nights)))
    said = _said_by_then(rows, nights)
    found = tuple(_as_of(row, nights[row.site_id], said) for row in rows)
    return found, closed


def _open_after(nights: Mapping[int, date]) -> Q:
    reach = Q(pk__in=())
    for site, on in nights.items():
        still_open = Q(closed_on__isnull=True) | Q(closed_on__gt=on)
        reach |= Q(still_open, site=site, opened_on__lte=on)
    return reach & Q(withdrawn_on__isnull=True)


def _closed_by(nights: Mapping[int, date]) -> Q:
    reach = Q(pk__in=())
    for site, on in nights.items():
        reach |= Q(site=site, closed_on=on)
    return reach & Q(withdrawn_on__isnull=True)


def _with_places(which: Q) -> QuerySet[Finding]:
    said = Acknowledgement.objects.select_related("by").order_by("-at", "-pk")
    return (
        Finding.objects.filter(which)
        .select_related("site", "animal", "enclosure__room", "probe")
        .prefetch_related(Prefetch("acknowledgements", said))
        .order_by(
            "enclosure__room__position", "enclosure__position", "enclosure__code", "key"
        )
    )


Said = dict[tuple[int, str], list[Sighting]]


def _said_by_then(rows: list[Finding], nights: Mapping[int, date]) -> Said:
    """Return what earlier nights said of findings that later nights say more of."""
    past = {
        (row.site_id, row.key): row.opened_on
        for row in rows
        if row.last_seen_on > nights[row.site_id]
    }
    said: Said = defaultdict(list)
    if not past:
        return said
    since, until = min(past.values()), max(nights.values())
    # Keys are compared here: a night may name more than SQLite takes parameters.
    for sighting in Sighting.objects.filter(
        site__in=nights, on__gte=since, on__lte=until, seen=True
    ).order_by("on"):
        key = (sighting.site_id, sighting.key)
        if key in past and past[key] <= sighting.on <= nights[sighting.site_id]:
            said[key].append(sighting)
    return said


def _as_of(row: Finding, on: date, said: Said) -> MorningFinding:
    earlier = said.get((row.site_id, row.key))
    if not earlier:
        return MorningFinding(
            row=row,
            on=on,
            urgency=Urgency(row.urgency),
            evidence=row.evidence,
            seen_on=row.last_seen_on,
            nights=row.nights_seen,
        )
    return MorningFinding(
        row=row,
        on=on,
        urgency=Urgency(earlier[-1].urgency),
        evidence=earlier[-1].evidence,
        seen_on=earlier[-1].on,
        nights=len(earlier),
    )


def finding_as_of(*, finding: Finding, on: date) -> MorningFinding:
    """Return one finding as it stood after a night; one query at most.

    Args:
        finding: with its site.
        on: the night; later than the last that saw it: as of that last one.
    """
    said = _said_by_then([finding], {finding.site_id: on})
    return _as_of(finding, on, said)


def finding_nights(*, finding: Finding) -> tuple[Sighting, ...]:
    """Return what each night of a finding's spell said of it, newest first."""
    nights = Sighting.objects.filter(
        site=finding.site, key=finding.key, on__gte=finding.opened_on
    )
    if finding.closed_on is not None:
        nights = nights.filter(on__lt=finding.closed_on)
    return tuple(nights.order_by("-on"))


def earlier_spells(*, finding: Finding) -> tuple[Finding, ...]:
    """Return the other spells of the same thing, newest first."""
    return tuple(
        Finding.objects.filter(
            site=finding.site, key=finding.key, withdrawn_on__isnull=True
        )
        .exclude(pk=finding.pk)
        .order_by("-opened_on")
    )


def open_findings_of(*, animal: Animal) -> tuple[MorningFinding, ...]:
    """Return an animal's open findings as of the last night that saw each."""
    rows = _with_places(
        Q(animal=animal, closed_on__isnull=True, withdrawn_on__isnull=True)
    )
    return tuple(
        MorningFinding(
            row=row,
            on=row.last_seen_on,
            urgency=Urgency(row.urgency),
            evidence=row.evidence,
            seen_on=row.last_seen_on,
            nights=row.nights_seen,
        )
        for row in rows
    )
