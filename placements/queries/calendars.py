"""What a calendar shows of animals that have left."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from core.events import AllDay, Event
from core.models import Site
from placements.models import FollowUp
from placements.queries.follow_ups import last_site
from placements.rules.vocabulary import FollowUpKind, PlacementState

_SINCE = {
    FollowUpKind.TWO_WEEKS: "two weeks",
    FollowUpKind.THREE_MONTHS: "three months",
    FollowUpKind.TWELVE_MONTHS: "twelve months",
}


def after_calendar(*, at: datetime) -> tuple[Event, ...]:
    """Return when homes are to be asked about their animals; two queries.

    Args:
        at: now; days are those of the site where an animal lived last.

    Returns:
        One entry for each open follow-up, on its day; an overdue one from its day up
        to today. It names the animal, never the home.
    """
    zones = {site.pk: ZoneInfo(site.time_zone) for site in Site.objects.all()}
    rows = (
        FollowUp.objects.filter(
            answered_at__isnull=True,
            dropped_at__isnull=True,
            placement__state=PlacementState.HANDED_OVER.value,
        )
        .annotate(site=last_site("placement__animal"))
        .order_by("due_on", "pk")
        .values_list("pk", "placement__animal__code", "kind", "due_on", "site")
    )
    utc = ZoneInfo("UTC")
    return tuple(
        _event(pk, code, kind, due_on, at.astimezone(zones.get(site, utc)).date())
        for pk, code, kind, due_on, site in rows
    )


def _event(pk: int, code: str, kind: str, due_on: date, today: date) -> Event:
    since = _SINCE[FollowUpKind(kind)]
    late = today > due_on
    return Event(
        key=f"follow-up-{pk}",
        when=AllDay(due_on, max(due_on, today)),
        summary=f"Ask about {code}{' (overdue)' if late else ''}",
        description=f"{since.capitalize()} after it left: ask its home how it is doing.",
    )
