"""Which placements wait for something, as of a local day."""

from collections.abc import Sequence
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet

from core.models import Site
from core.zones import day_bounds
from husbandry.rules.vocabulary import AnimalStatus
from placements.models import Placement
from placements.queries.follow_ups import last_site
from placements.queries.gates import gates_ahead
from placements.rules.standings import Standing
from placements.rules.vocabulary import STAYS_OURS, PlacementKind, PlacementState

PLANNED = Q(state=PlacementState.PLANNED.value)
AWAY = Q(
    kind__in=[kind.value for kind in STAYS_OURS],
    handed_over_on__isnull=False,
    due_back_on__isnull=False,
)


def placement_states(*, site: Site, on: date) -> tuple[Standing, ...]:
    """Return the plans and the stays away of a site's animals; a fixed number of queries.

    Args:
        site: where the animals lived last; the first site's are also those of animals
            that never had an enclosure.
        on: the local day. Of a past one, stays are told as they were, and plans as far
            as they are still planned.
    """
    _, end_s = day_bounds(on, zone=ZoneInfo(site.time_zone))
    known = Q(created_at__lt=datetime.fromtimestamp(end_s, UTC))
    away = AWAY & Q(handed_over_on__lte=on)
    away &= Q(ended_on__isnull=True) | Q(ended_on__gt=on)
    here = Placement.objects.annotate(site=last_site("animal")).filter(site=site.pk)
    return standings(here.filter(PLANNED & known | away), today=on)


def open_placements() -> QuerySet[Placement]:
    """Return the plans, and the stays away that have not ended."""
    away = AWAY & Q(state=PlacementState.HANDED_OVER.value)
    return Placement.objects.filter(PLANNED | away)


def standings(rows: QuerySet[Placement], *, today: date) -> tuple[Standing, ...]:
    """Return how placements stand, what is to be done next first.

    Args:
        rows: plans, and stays away with a day on which they are due back.
        today: the local day, for the gates of the plans.
    """
    found = list(rows.select_related("animal").order_by("pk"))
    planned = [row.pk for row in found if row.state == PlacementState.PLANNED.value]
    gates = gates_ahead(placement_ids=planned, today=today)
    standing = [
        Standing(
            placement=row.pk,
            animal=row.animal_id,
            code=row.animal.code,
            in_care=row.animal.status == AnimalStatus.IN_CARE.value,
            kind=PlacementKind(row.kind),
            state=PlacementState(row.state),
            day=_day(row),
            gates=gates.get(row.pk, ()),
        )
        for row in found
    ]
    return in_order(standing)


def in_order(standing: Sequence[Standing]) -> tuple[Standing, ...]:
    """Return placements by the day of what is next, then by code."""
    return tuple(sorted(standing, key=lambda one: (one.day, one.code, one.placement)))


def _day(row: Placement) -> date:
    planned = row.state == PlacementState.PLANNED.value
    return row.planned_on if planned else row.due_back_on or row.planned_on
