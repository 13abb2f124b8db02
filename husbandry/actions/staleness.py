"""Mark reviews stale when what they judged by has changed; the next night redoes them."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db import connection
from django.db.models import Q

from core.models import Site
from husbandry.models import Animal, ReviewRun, Stay
from husbandry.rules.vocabulary import ReviewState

# A run under way may have gathered its facts already: it is marked as well.
_JUDGED = (
    ReviewState.RUNNING.value,
    ReviewState.DONE.value,
    ReviewState.PARTIAL.value,
)

_Days = tuple[date, date]

# Of an advisory lock on PostgreSQL; no other use of such locks may take it.
_GATE = 1_707


def wait_for_what_is_being_recorded() -> None:
    """Let a review begin only once everything that was marked stale is to be seen.

    Otherwise data that are written but not committed yet would neither be read by
    the review nor mark it, for those who record them do not see its run. Call it
    in the transaction that adds the run. On SQLite there is one writer at a time.
    """
    _lock("pg_advisory_xact_lock")


def _lock(function: str) -> None:
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(f"SELECT {function}(%s)", [_GATE])


def mark_nights_stale(*, nights: Collection[tuple[int, date]], at: datetime) -> int:
    """Mark the reviews of single nights, because data for them came later.

    Args:
        nights: pairs of a site's key and a local day; empty marks nothing.
        at: when the data came.

    Returns:
        How many runs were marked; one that was marked before keeps its first mark.
    """
    by_site: dict[int, list[date]] = defaultdict(list)
    for site_id, on in nights:
        by_site[site_id].append(on)
    touched = Q(pk__in=())
    for site_id, days in by_site.items():
        # One span a site keeps the statement short; the set of days decides.
        touched |= Q(site=site_id, on__range=(min(days), max(days)), on__in=days)
    return _mark(touched, at)


def mark_stale(*, site_ids: Collection[int], from_on: date, at: datetime) -> int:
    """Mark the reviews of every night from a local day on.

    Args:
        site_ids: at which sites.
        from_on: the first night that may be judged otherwise now.
        at: when the change was recorded.

    Returns:
        How many runs were marked.
    """
    return _mark(Q(site__in=site_ids, on__gte=from_on), at)


def mark_sites_stale(*, from_on: Mapping[int, date], at: datetime) -> int:
    """Mark the reviews of sites, each from a local day of its own on.

    Args:
        from_on: the first night that may be judged otherwise now, by site.
        at: when the change was recorded.

    Returns:
        How many runs were marked.
    """
    touched = Q(pk__in=())
    for site_id, day in from_on.items():
        touched |= Q(site=site_id, on__gte=day)
    return _mark(touched, at)


def mark_animal_stale(*, animal: Animal, since_at: datetime, at: datetime) -> int:
    """Mark the reviews that judged one animal from an instant on.

    Args:
        animal: the animal that something was recorded of.
        since_at: from which instant on it may be judged otherwise now.
        at: when it was recorded.

    Returns:
        How many runs were marked.
    """
    return mark_animals_stale(since_at={animal.pk: since_at}, at=at)


def mark_animals_stale(*, since_at: Mapping[int, datetime], at: datetime) -> int:
    """Mark the reviews that judged animals, each from an instant of its own on.

    Only those of the sites where an animal stayed then, each for the local days of
    its stay there; for times without a stay, the nights of the site it was at
    before. As many queries for one animal as for many.

    Args:
        since_at: from which instant on it may be judged otherwise now, by animal.
        at: when it was recorded.

    Returns:
        How many runs were marked.
    """
    stays: dict[int, list[Stay]] = defaultdict(list)
    for stay in (
        Stay.objects.filter(animal__in=since_at)
        .select_related("enclosure__room__site")
        .order_by("-from_at")
    ):
        stays[stay.animal_id].append(stay)
    spells: dict[int, list[_Days]] = defaultdict(list)
    unplaced: list[tuple[datetime, date]] = []
    for animal_id, since in since_at.items():
        ends_on = _at_its_sites(stays[animal_id], since, spells)
        if ends_on is not None:
            unplaced.append((since, ends_on))
    touched = _anywhere(unplaced) if unplaced else Q(pk__in=())
    for site_id, days in spells.items():
        for from_on, until_on in _joined(days):
            touched |= Q(site=site_id, on__range=(from_on, until_on))
    return _mark(touched, at)


def _at_its_sites(
    stays: list[Stay], since_at: datetime, spells: dict[int, list[_Days]]
) -> date | None:
    """Add the days of one animal's stays, newest first.

    Returns:
        None where a stay had begun by the instant; else the day on which its first
        stay began, before which it was nowhere.
    """
    ends_on = date.max
    for stay in stays:
        site = stay.enclosure.room.site
        from_on = max(_day(since_at, site), _day(stay.from_at, site))
        # Until the next stay began: a day of moving is judged at both sites.
        spells[site.pk].append((from_on, ends_on))
        ends_on = _day(stay.from_at, site)
        if stay.from_at <= since_at:
            return None
    return ends_on


def _anywhere(unplaced: list[tuple[datetime, date]]) -> Q:
    """Before its first stay an animal is judged wherever nobody else is: mark all."""
    touched = Q(pk__in=())
    sites = list(Site.objects.all())
    days = [
        (min((_day(since_at, s) for s in sites), default=date.max), ends_on)
        for since_at, ends_on in unplaced
    ]
    for from_on, until_on in _joined(days):
        touched |= Q(on__range=(from_on, until_on))
    return touched


def _joined(spells: list[_Days]) -> list[_Days]:
    """Return spells of days without overlaps: a short statement for many animals."""
    joined: list[_Days] = []
    for from_on, until_on in sorted(spells):
        if joined and from_on <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], until_on))
        else:
            joined.append((from_on, until_on))
    return joined


def _day(instant: datetime, site: Site) -> date:
    return instant.astimezone(ZoneInfo(site.time_zone)).date()


def _mark(touched: Q, at: datetime) -> int:
    # Shared: those who record do not wait for each other, only a review for them.
    _lock("pg_advisory_xact_lock_shared")
    return ReviewRun.objects.filter(
        touched, state__in=_JUDGED, stale_since__isnull=True
    ).update(stale_since=at)
