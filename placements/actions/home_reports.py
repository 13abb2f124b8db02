"""Keep what homes tell of the animals that live there, and that somebody saw it."""

from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db import transaction

from core import audit
from core.models import User
from husbandry.queries.stays import local_day_of
from placements.actions.states import check_state
from placements.models import HomeReport, Placement
from placements.rules.home_reports import (
    HomeReportDetails,
    HomeReportError,
    check_report,
)
from placements.rules.vocabulary import HomeReportKind, PlacementState

MOST_A_DAY = 20


@transaction.atomic
def report_from_home(
    *,
    placement: Placement,
    kind: HomeReportKind,
    on: date,
    mass_g: Decimal | None = None,
    eggs: int | None = None,
    note: str = "",
    by: User | None,
    at: datetime,
) -> HomeReport:
    """Keep what a home tells of its animal. Safe to send again.

    It stands beside our records and is never mixed into them: nobody here has seen it.

    Args:
        placement: handed over, and not ended.
        kind: what it is about.
        on: the local day that it is about.
        mass_g: of a weight, in grams; else None.
        eggs: of laid eggs, how many; else None.
        note: in the home's words; needed for what is neither weight nor eggs.
        by: the person who wrote it down; None: the home itself.
        at: now.

    Returns:
        The report; the known one where the same was told before.

    Raises:
        PlacementStateError: the animal does not live there.
        HomeReportError: a day, number or note that cannot be, or the twenty-first
            of a day from the home itself.
    """
    # One after the other, so that the same sent twice at once is kept once.
    Placement.objects.select_for_update(no_key=True).get(pk=placement.pk)
    check_state(placement, PlacementState.HANDED_OVER)
    if by is None:
        _check_not_flooded(placement, at)
    details = check_report(
        HomeReportDetails(kind, on, mass_g, eggs, note.strip()),
        left_on=placement.handed_over_on or placement.planned_on,
        today=local_day_of(animal=placement.animal, at=at),
    )
    report, new = HomeReport.objects.get_or_create(
        placement=placement,
        kind=kind.value,
        on=on,
        mass_g=details.mass_g,
        eggs=details.eggs,
        note=details.note,
        defaults={"received_at": at, "recorded_by": by},
    )
    if new:
        # What a home writes may tell of people: the trail leaves the note out.
        after = audit.values(report, "placement", "kind", "on", "mass_g", "eggs")
        audit.record(report, verb="report_from_home", by=by, at=at, after=after)
    return report


def _check_not_flooded(placement: Placement, at: datetime) -> None:
    """Hold back a page that is sent again and again, by a machine or by mistake."""
    lately = placement.reports.filter(
        received_at__gt=at - timedelta(days=1), recorded_by__isnull=True
    )
    if lately.count() >= MOST_A_DAY:
        raise HomeReportError(
            f"{MOST_A_DAY} reports came in a day. Call us instead; nothing of them is "
            "lost."
        )


@transaction.atomic
def see_report(*, report: HomeReport, by: User, at: datetime) -> HomeReport:
    """Say that somebody has looked at a report; the first one stays on record."""
    if HomeReport.objects.filter(pk=report.pk, seen_at__isnull=True).update(
        seen_at=at, seen_by=by
    ):
        audit.record(report, verb="see_report", by=by, at=at)
    report.refresh_from_db()
    return report
