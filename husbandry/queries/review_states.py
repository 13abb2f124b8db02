"""Which nights were reviewed at which sites, and which were not."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Max, Q

from core.models import Site
from core.zones import last_finished_day
from husbandry.models import ReviewRun
from husbandry.queries.findings import FINISHED
from husbandry.queries.first_nights import first_nights
from husbandry.rules.vocabulary import ReviewState

LOOK_BACK = timedelta(days=14)


@dataclass(frozen=True, slots=True)
class OpenNight:
    """A finished local day without a review in force.

    Attributes:
        state: of its newest run; None: nobody has tried to review it.
        stale: it was reviewed, but something was recorded for it afterwards.
    """

    on: date
    state: ReviewState | None
    stale: bool


@dataclass(frozen=True, slots=True)
class SiteMorning:
    """How the reviews of one site stand.

    Attributes:
        last_finished_on: the last local day that is over.
        run: the finished run of the night that is shown; None: there is none.
        open_nights: finished days of the last two weeks without a review in force.
    """

    site: Site
    last_finished_on: date
    run: ReviewRun | None
    open_nights: tuple[OpenNight, ...]


def site_mornings(*, at: datetime, on: date | None) -> tuple[SiteMorning, ...]:
    """Return how the reviews of every site stand; five queries.

    Args:
        at: now; it decides which local days are over.
        on: the night to show; None: each site's newest reviewed night.
    """
    sites = list(Site.objects.order_by("name", "pk"))
    runs = _runs_shown(on)
    recent, first = _recent_runs(at), first_nights(sites=sites)
    mornings = []
    for site in sites:
        last = last_finished_day(at, zone=ZoneInfo(site.time_zone))
        days = _days(first.get(site.pk), last)
        waiting = (_open_night(day, recent.get((site.pk, day), [])) for day in days)
        mornings.append(
            SiteMorning(
                site=site,
                last_finished_on=last,
                run=runs.get(site.pk),
                open_nights=tuple(night for night in waiting if night is not None),
            )
        )
    return tuple(mornings)


def _runs_shown(on: date | None) -> dict[int, ReviewRun]:
    finished = ReviewRun.objects.filter(state__in=FINISHED)
    if on is not None:
        finished = finished.filter(on=on)
    else:
        newest = finished.values("site").annotate(newest=Max("on"))
        nights = Q(pk__in=())
        for site, night in newest.values_list("site", "newest"):
            nights |= Q(site=site, on=night)
        finished = finished.filter(nights)
    # In order of their keys, so that the newest run of a night stays.
    return {run.site_id: run for run in finished.order_by("pk")}


def _recent_runs(at: datetime) -> dict[tuple[int, date], list[ReviewRun]]:
    found: dict[tuple[int, date], list[ReviewRun]] = defaultdict(list)
    since = at.date() - LOOK_BACK - timedelta(days=2)
    for run in ReviewRun.objects.filter(on__gte=since).order_by("pk"):
        found[run.site_id, run.on].append(run)
    return found


def _days(first: date | None, last: date) -> list[date]:
    if first is None:
        return []
    start = max(first, last - LOOK_BACK)
    return [start + timedelta(days=n) for n in range((last - start).days + 1)]


def _open_night(on: date, runs: list[ReviewRun]) -> OpenNight | None:
    finished = [run for run in runs if run.state in FINISHED]
    if not finished:
        return OpenNight(on, ReviewState(runs[-1].state) if runs else None, stale=False)
    if finished[-1].stale_since is not None:
        return OpenNight(on, ReviewState(finished[-1].state), stale=True)
    return None


def newest_night(*, site: Site) -> date | None:
    """Return a site's last reviewed night, or None; one query."""
    return (
        ReviewRun.objects.filter(site=site, state__in=FINISHED)
        .order_by("-on")
        .values_list("on", flat=True)
        .first()
    )
