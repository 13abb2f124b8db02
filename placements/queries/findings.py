"""What the nightly reviews found of an animal and where it lived."""

from collections.abc import Iterable
from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import Q

from husbandry.models import Animal, Finding, Stay
from husbandry.rules.vocabulary import FindingKind, Urgency
from placements.queries.stays import local_days
from placements.rules.packets.facts import FindingFacts


def finding_facts(
    animal: Animal, stays: Iterable[Stay], *, until: date, zone: ZoneInfo
) -> tuple[FindingFacts, ...]:
    """Return what concerned the animal or an enclosure while it lived there.

    Args:
        animal: whose findings.
        stays: its stays, for findings of enclosures and probes.
        until: findings that opened after this local day are left out.
        zone: of the place where it lives, for the days of the stays.
    """
    there = Q(animal=animal)
    for stay in stays:
        first, last = local_days(stay, zone)
        where = Q(enclosure=stay.enclosure_id) | Q(probe__enclosure=stay.enclosure_id)
        lasted = Q(last_seen_on__gte=first)
        if last is not None:
            lasted &= Q(opened_on__lte=last)
        there |= Q(animal__isnull=True) & where & lasted
    rows = Finding.objects.filter(
        there, withdrawn_on__isnull=True, opened_on__lte=until
    ).order_by("opened_on", "key", "pk")
    return tuple(
        FindingFacts(
            kind=FindingKind(f.kind),
            urgency=Urgency(f.urgency),
            opened_on=f.opened_on,
            last_seen_on=f.last_seen_on,
            closed_on=f.closed_on,
            nights=f.nights_seen,
            evidence=f.evidence,
        )
        for f in rows
    )
