"""From which night on a site is reviewed."""

from collections.abc import Collection
from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import F, Min

from core.models import Site
from husbandry.models import Probe, Stay
from husbandry.rules.vocabulary import EnclosureKind


def first_nights(*, sites: Collection[Site]) -> dict[int, date]:
    """Return the first local day that a site's review looks at, by site; two queries.

    The day on which the first animal came to stay, or on which a probe came into use
    in an incubator: eggs are watched where no animal lives, too.

    Args:
        sites: sites of which there is neither are absent.
    """
    stays = dict(
        Stay.objects.filter(enclosure__room__site__in=[site.pk for site in sites])
        .order_by()
        .values(site=F("enclosure__room__site"))
        .annotate(first=Min("from_at"))
        .values_list("site", "first")
    )
    probes = dict(
        Probe.objects.filter(
            enclosure__room__site__in=[site.pk for site in sites],
            enclosure__kind=EnclosureKind.INCUBATOR.value,
        )
        .order_by()
        .values(site=F("enclosure__room__site"))
        .annotate(first=Min("from_on"))
        .values_list("site", "first")
    )
    found: dict[int, date] = {}
    for site in sites:
        days = [probes[site.pk]] if site.pk in probes else []
        if site.pk in stays:
            days.append(stays[site.pk].astimezone(ZoneInfo(site.time_zone)).date())
        if days:
            found[site.pk] = min(days)
    return found
