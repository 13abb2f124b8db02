"""The section of a home's page about the animals that live there."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.http import HttpRequest
from django.utils import timezone

from placements.models import FollowUp, Placement, PrivateAddress
from placements.queries.follow_ups import OPEN
from placements.queries.private_addresses import home_behind, placements_behind
from placements.rules.vocabulary import (
    FollowUpKind,
    HomeReportKind,
    PlacementState,
    UnitSystem,
)
from staff.after_forms import REPORTS, AnswersForm, ReportForm
from staff.private_sections import Part
from staff.units import day

# A home may answer a little before it is asked.
AHEAD = timedelta(days=7)
SHOWN_REPORTS = 20


@dataclass(frozen=True, slots=True)
class Asked:
    """One follow-up that is due, with the form that answers it."""

    pk: int
    due: str
    form: AnswersForm


@dataclass(frozen=True, slots=True)
class LivesThere:
    """One animal, what is asked of its home, and what that told before."""

    pk: int
    animal: str
    asked: tuple[Asked, ...]
    report: ReportForm
    told: tuple[str, ...]


def after_part(address: PrivateAddress, request: HttpRequest) -> Part | None:
    """Return the section; None where no animal of the page lives there now."""
    rows = [
        row
        for row in placements_behind(address)
        if row.state == PlacementState.HANDED_OVER.value
    ]
    if not rows:
        return None
    system = UnitSystem(home_behind(address).units)
    today = timezone.localdate()
    match = request.resolver_match
    context = {
        "secret": str(match.kwargs["address"]) if match else "",
        "animals": [_lives_there(row, system, today) for row in rows],
    }
    return Part("staff/parts/private_after.html", context)


def _lives_there(row: Placement, system: UnitSystem, today: date) -> LivesThere:
    due = row.follow_ups.filter(OPEN, due_on__lte=today + AHEAD)
    return LivesThere(
        pk=row.pk,
        animal=str(row.animal),
        asked=tuple(_asked(one) for one in due.order_by("due_on", "pk")),
        report=ReportForm(
            system=system, auto_id=f"id_t{row.pk}_%s", initial={"on": today}
        ),
        told=tuple(_told(kind, on) for kind, on in _reported(row)),
    )


def _asked(one: FollowUp) -> Asked:
    form = AnswersForm(kind=FollowUpKind(one.kind), auto_id=f"id_a{one.pk}_%s")
    return Asked(one.pk, day(one.due_on), form)


def _reported(row: Placement) -> list[tuple[str, date]]:
    rows = row.reports.order_by("-on", "-pk").values_list("kind", "on")
    return list(rows[:SHOWN_REPORTS])


def _told(kind: str, on: date) -> str:
    """Return that something was told; not what, as a page is read over shoulders."""
    return f"{day(on)}: {REPORTS[HomeReportKind(kind)]}"
