"""Mark the reviews that judged eggs and boxes, wherever these stood."""

from collections.abc import Collection, Iterable
from datetime import datetime
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet

from clutches.models import BoxStay, Clutch, EggPlace
from husbandry.actions.staleness import mark_sites_stale

_Site = tuple[int, str]
"""A site's key and time zone."""


def mark_boxes_stale(
    *, box_ids: Collection[int], since_at: datetime, at: datetime
) -> int:
    """Mark what was judged of boxes from the local day of an instant on; three queries.

    Both where the boxes stood since, and at the sites of the clutches in them.

    Args:
        box_ids: of the boxes; none marks nothing.
        since_at: from when on something about them is otherwise than was known.
        at: when that was recorded.

    Returns:
        How many runs were marked.
    """
    lying = EggPlace.objects.filter(_since(since_at), box__in=box_ids)
    homes = lying.order_by().values_list(
        "egg__clutch__site_id", "egg__clutch__site__time_zone"
    )
    stays = BoxStay.objects.filter(_since(since_at), box__in=box_ids)
    return _mark({*homes.distinct(), *_sites(stays)}, since_at, at)


def mark_eggs_stale(
    *, egg_ids: Collection[int], since_at: datetime, at: datetime
) -> int:
    """Mark what was judged of eggs from the local day of an instant on; three queries.

    Args:
        egg_ids: of the eggs; none marks nothing.
        since_at: from when on something about them is otherwise than was known.
        at: when that was recorded.

    Returns:
        How many runs were marked.
    """
    clutches = Clutch.objects.filter(eggs__in=egg_ids).order_by()
    homes = clutches.values_list("site_id", "site__time_zone").distinct()
    lying = EggPlace.objects.filter(_since(since_at), egg__in=egg_ids)
    boxes = lying.order_by().values("box")
    stays = BoxStay.objects.filter(_since(since_at), box__in=boxes)
    return _mark({*homes, *_sites(stays)}, since_at, at)


def _since(since_at: datetime) -> Q:
    return Q(until_at__isnull=True) | Q(until_at__gt=since_at)


def _sites(stays: QuerySet[BoxStay]) -> Iterable[_Site]:
    rows = stays.order_by().values_list(
        "incubator__room__site_id", "incubator__room__site__time_zone"
    )
    return rows.distinct()


def _mark(sites: Iterable[_Site], since_at: datetime, at: datetime) -> int:
    from_on = {site: since_at.astimezone(ZoneInfo(zone)).date() for site, zone in sites}
    return mark_sites_stale(from_on=from_on, at=at) if from_on else 0
