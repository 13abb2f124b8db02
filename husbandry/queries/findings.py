"""Findings, sightings and runs: what the reviews have said so far."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Max, Prefetch, Q, QuerySet

from core.models import Site
from husbandry.models import Acknowledgement, Finding, ReviewRun, Sighting
from husbandry.queries.first_nights import first_nights
from husbandry.rules.findings import Spell, Verdict
from husbandry.rules.vocabulary import ReviewState

FINISHED = (ReviewState.DONE.value, ReviewState.PARTIAL.value)


@dataclass(frozen=True, slots=True)
class OnRecord:
    """A finding's row, and the spell that it stands for."""

    row: Finding
    spell: Spell


def reviewed_nights(*, site: Site, since: date) -> list[date]:
    """Return a site's nights with a finished review since a day, in order."""
    return list(
        ReviewRun.objects.filter(site=site, on__gte=since, state__in=FINISHED)
        .order_by("on")
        .values_list("on", flat=True)
        .distinct()
    )


def is_newest_and_first_run(*, site: Site, on: date) -> bool:
    """Say whether a night is reviewed for the first time and none after it was."""
    runs = ReviewRun.objects.filter(site=site, on__gte=on, state__in=FINISHED)
    return runs.count() == 1


def findings_touching(
    *, site: Site, on: date, keys: Collection[str]
) -> dict[str, list[OnRecord]]:
    """Return the findings that a review of one night may change, by key.

    Args:
        site: where.
        on: the night under review.
        keys: what the night says something of; every finding that is open, or was
            on that night, counts as well: the night may close it.

    Returns:
        Of each of these keys all findings that were not yet closed on that night,
        later and withdrawn ones included, oldest first.
    """
    reach = (
        Q(closed_on__isnull=True) | Q(closed_on__gte=on) | Q(withdrawn_on__isnull=False)
    )
    # Keys are compared here, not in SQL: a night may name more keys than SQLite
    # takes parameters.
    rows = list(Finding.objects.filter(reach, site=site).order_by("opened_on", "pk"))
    wanted = set(keys) | {row.key for row in rows if _stood_open(row, on)}
    found: dict[str, list[OnRecord]] = defaultdict(list)
    for row in rows:
        if row.key in wanted:
            found[row.key].append(OnRecord(row, _spell(row)))
    return found


def _stood_open(row: Finding, on: date) -> bool:
    stands = row.withdrawn_on is None
    return stands and (row.closed_on is None or row.opened_on <= on)


def _spell(row: Finding) -> Spell:
    return Spell(row.opened_on, row.last_seen_on, row.closed_on, row.nights_seen)


def sightings_since(
    *, site: Site, since: date, keys: Collection[str]
) -> dict[str, list[Sighting]]:
    """Return what the nights since a day said of some keys, in order of nights."""
    wanted = set(keys)
    found: dict[str, list[Sighting]] = defaultdict(list)
    for row in Sighting.objects.filter(site=site, on__gte=since).order_by("on"):
        if row.key in wanted:
            found[row.key].append(row)
    return found


def verdicts(
    sightings: Iterable[Sighting],
    nights: Iterable[date],
    *,
    unmeasured: Collection[date] = (),
) -> list[tuple[date, Verdict]]:
    """Return what each reviewed night says of one key.

    Args:
        sightings: of that key.
        nights: the reviewed ones, in order.
        unmeasured: nights on which nobody measured what the key is about. That it
            was not seen then says nothing.
    """
    said = dict.fromkeys(unmeasured, Verdict.UNDECIDED)
    said |= {s.on: Verdict.SEEN if s.seen else Verdict.UNDECIDED for s in sightings}
    return [(on, said.get(on, Verdict.NOT_SEEN)) for on in nights]


def nights_to_review(*, site: Site, until: date, at_most: timedelta) -> list[date]:
    """Return the finished local days of a site that want a review, oldest first.

    Args:
        site: where.
        until: the last finished local day.
        at_most: how far back to look.

    Returns:
        Days since the first night at the site that have no finished review, or
        whose newest one is out of date because something was recorded later.
    """
    first = first_nights(sites=[site]).get(site.pk)
    if first is None:
        return []
    start = max(first, until - at_most)
    good = set(_in_force(site, start))
    days = (start + timedelta(days=n) for n in range((until - start).days + 1))
    return [on for on in days if on not in good]


def _in_force(site: Site, since: date) -> QuerySet[ReviewRun, date]:
    newest = (
        ReviewRun.objects.filter(site=site, on__gte=since, state__in=FINISHED)
        .values("on")
        .annotate(newest=Max("pk"))
        .values("newest")
    )
    return ReviewRun.objects.filter(
        pk__in=newest, stale_since__isnull=True
    ).values_list("on", flat=True)


def findings_of_night(*, site: Site, on: date) -> QuerySet[Finding]:
    """Return the findings that were open in the morning after a night.

    With animal, enclosure, probe, room and acknowledgements, in a constant number
    of queries.
    """
    return (
        Finding.objects.filter(
            Q(closed_on__isnull=True) | Q(closed_on__gt=on),
            site=site,
            withdrawn_on__isnull=True,
            opened_on__lte=on,
        )
        .select_related("animal", "enclosure__room", "probe")
        .prefetch_related(
            Prefetch(
                "acknowledgements",
                Acknowledgement.objects.select_related("by").order_by("-at"),
            )
        )
    )
