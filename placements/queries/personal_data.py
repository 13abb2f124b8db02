"""Whose personal data are kept, for how long, and what stands against erasing them."""

from collections import defaultdict
from collections.abc import Mapping
from datetime import UTC, date, datetime
from typing import cast
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from core.models import Site
from placements.models import (
    Application,
    Arrival,
    Home,
    PersonalDataPolicy,
    Placement,
)
from placements.rules.personal_data import (
    SHIPPED,
    ApplicationLine,
    HomeHistory,
    PlacementLine,
    Retention,
    is_past,
)
from placements.rules.vocabulary import (
    ApplicationState,
    PlacementKind,
    PlacementState,
)


def retention_in_force() -> Retention:
    """Return for how long personal data are kept; one query."""
    row = PersonalDataPolicy.objects.order_by("-made_at", "-pk").first()
    if row is None:
        return SHIPPED
    return Retention(row.months_after_decline, row.months_after_last_placement)


def local_day(at: datetime) -> date:
    """Return the organisation's day at an instant: by its first site's clock.

    Args:
        at: the instant; before there is a site, by UTC.
    """
    zone = Site.objects.order_by("pk").values_list("time_zone", flat=True).first()
    return at.astimezone(ZoneInfo(zone) if zone else UTC).date()


def homes_to_erase(on: date) -> tuple[Home, ...]:
    """Return the homes whose data are past their time; five queries.

    Args:
        on: the local day.

    Returns:
        Those of which nothing stands against erasing, by key.
    """
    homes = Home.objects.filter(erased_at__isnull=True).order_by("pk")
    histories = histories_of(homes)
    retention = retention_in_force()
    past = {pk for pk, found in histories.items() if is_past(found, retention, on)}
    return tuple(home for home in homes if home.pk in past)


def histories_of(homes: QuerySet[Home]) -> Mapping[int, HomeHistory]:
    """Return what decides how long homes' data are kept, by home; four queries.

    Args:
        homes: of these.
    """
    applications, placements = _applications(homes), _placements(homes)
    arrivals: defaultdict[int, list[date]] = defaultdict(list)
    came = Arrival.objects.filter(home__in=homes).order_by("arrived_at", "pk")
    for home_id, arrived_at in came.values_list("home__pk", "arrived_at"):
        arrivals[home_id].append(arrived_at.date())
    return {
        home.pk: HomeHistory(
            home=home.pk,
            recorded_on=home.created_at.date() if home.created_at else None,
            keep_until=home.keep_until,
            applications=tuple(applications[home.pk]),
            placements=tuple(placements[home.pk]),
            arrivals=tuple(arrivals[home.pk]),
        )
        for home in homes
    }


def _applications(homes: QuerySet[Home]) -> Mapping[int, list[ApplicationLine]]:
    found: defaultdict[int, list[ApplicationLine]] = defaultdict(list)
    rows = Application.objects.filter(home__in=homes).defer("answers")
    for row in rows.order_by("pk"):
        on = (row.decided_at or row.received_at).date()
        found[row.home_id].append(ApplicationLine(ApplicationState(row.state), on))
    return found


def _placements(homes: QuerySet[Home]) -> Mapping[int, list[PlacementLine]]:
    found: defaultdict[int, list[PlacementLine]] = defaultdict(list)
    rows = Placement.objects.filter(home__in=homes).select_related("animal")
    for row in rows.order_by("pk"):
        last = (row.planned_on, row.created_at.date())
        # They were asked for by homes: no release is among them.
        found[cast("int", row.home_id)].append(
            PlacementLine(
                PlacementState(row.state),
                PlacementKind(row.kind),
                row.animal.code,
                row.ended_on or row.handed_over_on or max(last),
            )
        )
    return found
