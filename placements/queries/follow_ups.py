"""What is asked of homes, what they told, and what of it is still open."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from django.db.models import BigIntegerField, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from core.models import Site
from core.zones import day_bounds
from husbandry.models import Stay
from placements.models import FollowUp, HomeReport
from placements.rules.follow_ups import AfterFacts, OpenFollowUp, UnseenReport
from placements.rules.vocabulary import FollowUpKind, HomeReportKind, PlacementState

OPEN = Q(answered_at__isnull=True, dropped_at__isnull=True)
"""Which follow-ups are neither answered nor dropped."""


def after_facts(*, site: Site, on: date) -> AfterFacts:
    """Return what was open about a site's animals that have left; two queries.

    Args:
        site: where the animal lived last; the first site's are also those of animals
            that never had an enclosure.
        on: the local day: what was answered, dropped or seen after it counts as open.
    """
    zone = ZoneInfo(site.time_zone)
    end_at = datetime.fromtimestamp(day_bounds(on, zone=zone)[1], UTC)
    still_there = Q(placement__ended_on__isnull=True) | Q(placement__ended_on__gt=on)
    lived_here = Q(site=site.pk)
    follow_ups = (
        FollowUp.objects.annotate(site=last_site("placement__animal"))
        .filter(lived_here, still_there, placement__handed_over_on__lte=on)
        .filter(_not_by("answered_at", end_at), _not_by("dropped_at", end_at))
        .filter(due_on__lte=on)
        .order_by("due_on", "pk")
        .values_list(
            "placement_id",
            "placement__animal__code",
            "kind",
            "due_on",
            "placement__handed_over_on",
        )
    )
    reports = (
        HomeReport.objects.annotate(site=last_site("placement__animal"))
        .filter(lived_here, _not_by("seen_at", end_at), received_at__lt=end_at)
        .order_by("received_at", "pk")
        .values_list(
            "pk", "placement_id", "placement__animal__code", "kind", "on", "received_at"
        )
    )
    return AfterFacts(
        follow_ups=tuple(
            OpenFollowUp(placement, code, FollowUpKind(kind), due_on, left_on)
            for placement, code, kind, due_on, left_on in follow_ups
            if left_on is not None
        ),
        reports=tuple(
            UnseenReport(
                pk,
                placement,
                code,
                HomeReportKind(kind),
                about_on,
                received_at.astimezone(zone).date(),
            )
            for pk, placement, code, kind, about_on, received_at in reports
        ),
    )


def open_follow_ups() -> QuerySet[FollowUp]:
    """Return what homes are still to be asked, of animals that live there now.

    The soonest due first, with animal; one query.
    """
    return (
        FollowUp.objects.filter(OPEN, placement__state=PlacementState.HANDED_OVER.value)
        .select_related("placement__animal", "recorded_by")
        .order_by("due_on", "pk")
    )


def unseen_reports() -> QuerySet[HomeReport]:
    """Return what homes told and nobody has looked at, with animal; one query."""
    return (
        HomeReport.objects.filter(seen_at__isnull=True)
        .select_related("placement__animal", "seen_by")
        .order_by("received_at", "pk")
    )


def last_site(animal: str) -> Coalesce:
    """Return the key of the site where an animal lived last, else of the first site.

    Args:
        animal: the name of the path to the animal, from the row that is asked about.
    """
    last = Stay.objects.filter(animal=OuterRef(animal)).order_by("-from_at", "-pk")
    first = Site.objects.order_by("pk").values("pk")[:1]
    return Coalesce(
        Subquery(last.values("enclosure__room__site")[:1]),
        Subquery(first),
        output_field=BigIntegerField(),
    )


def _not_by(field: str, at: datetime) -> Q:
    return Q(**{f"{field}__isnull": True}) | Q(**{f"{field}__gte": at})
