"""Whether the nights are reviewed when they should be, and when that was last done."""

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from core.zones import day_bounds
from husbandry.models import ReviewRun
from husbandry.queries.review_states import SiteMorning, site_mornings
from husbandry.rules.overdue import is_overdue


@dataclass(frozen=True, slots=True)
class SiteNights:
    """How the nights of one site stand.

    Attributes:
        reviewed_on: its newest night with a review; None: there is none.
        overdue_on: the first of its last fourteen nights that should have been
            reviewed by now and was not; None: none is. Nights for which something
            was recorded later are not meant: the next hour reviews them again.
    """

    site_id: int
    site_code: str
    reviewed_on: date | None
    overdue_on: date | None


def nights_of_sites(*, at: datetime) -> tuple[SiteNights, ...]:
    """Return how the nights of every site stand at `at`, now; six queries at most."""
    return tuple(_nights(one, at) for one in site_mornings(at=at, on=None))


def _nights(one: SiteMorning, at: datetime) -> SiteNights:
    zone, now_s = ZoneInfo(one.site.time_zone), int(at.timestamp())
    overdue = [
        night.on
        for night in one.open_nights
        if not night.stale
        and is_overdue(ended_s=day_bounds(night.on, zone=zone)[1], at_s=now_s)
    ]
    return SiteNights(
        site_id=one.site.pk,
        site_code=one.site.code,
        reviewed_on=one.run.on if one.run else None,
        overdue_on=min(overdue, default=None),
    )


def last_unasked_review() -> datetime | None:
    """Return when a night was last reviewed that nobody asked for; one query."""
    return (
        ReviewRun.objects.filter(started_by__isnull=True)
        .order_by("-pk")
        .values_list("started_at", flat=True)
        .first()
    )
