"""Applications: which are open, who waits, and whom an animal may suit."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from core.roles import Permission
from husbandry.models import Animal
from placements.models import Application
from placements.queries.applications import applications as all_applications
from placements.queries.matching import matches, waiting_list
from placements.queries.personal_data import local_day
from placements.rules.vocabulary import ApplicationState, PlacementKind
from staff.application_words import KINDS
from staff.doors import opens_to
from staff.match_words import match_row
from staff.units import day

# Those that somebody has to do something about, the most pressing first.
TO_DO = (
    (ApplicationState.RECEIVED, "New"),
    (ApplicationState.CHECKING, "Being looked into"),
    (ApplicationState.ACCEPTED, "Accepted, not on the waiting list"),
)
OVER = (
    *(ApplicationState.PLACED, ApplicationState.DECLINED),
    ApplicationState.WITHDRAWN,
)
NEWEST_OVER = 25


@dataclass(frozen=True, slots=True)
class ApplicationRow:
    """One application in a list."""

    id: int
    home: str
    wish: str
    stands: str


@opens_to(Permission.SEE_HOMES)
@require_safe
def applications(request: HttpRequest) -> HttpResponse:
    """Show open applications, the waiting list, and the newest that are over."""
    rows = all_applications().defer("answers")
    open_rows = list(rows.filter(state__in=[state for state, _ in TO_DO]))
    over = rows.filter(state__in=OVER).order_by("-decided_at", "-pk")
    context = {
        "groups": [
            (title, [application_row(r) for r in open_rows if r.state == state])
            for state, title in TO_DO
        ],
        "any_open": bool(open_rows),
        "waiting": [application_row(row) for row in waiting_list().defer("answers")],
        "over": [application_row(row) for row in over[:NEWEST_OVER]],
    }
    return render(request, "staff/applications.html", context)


@opens_to(Permission.SEE_HOMES)
@require_safe
def application_matches(request: HttpRequest, pk: int) -> HttpResponse:
    """Show whom an animal may suit, with the reasons; nobody is offered anything."""
    animal = get_object_or_404(Animal.objects.select_related("species"), pk=pk)
    on = local_day(timezone.now())
    context = {
        "animal": animal,
        "matches": [match_row(found) for found in matches(animal=animal, on=on)],
    }
    return render(request, "staff/application_matches.html", context)


def application_row(row: Application) -> ApplicationRow:
    """Return an application in words."""
    stands = f"{row.state}, came {day(row.received_at.date())}"
    if row.state == ApplicationState.WAITING and row.waiting_since:
        stands = f"waiting since {day(row.waiting_since)}"
    return ApplicationRow(
        id=row.pk,
        home=row.home.name,
        wish=wish(row),
        stands=stands,
    )


def wish(row: Application) -> str:
    """Return what is asked for: `to adopt: V-0042, Veiled chameleon`."""
    kind = KINDS[PlacementKind(row.kind)]
    if row.animal is not None:
        return f"{kind}: {row.animal}, {row.animal.species}"
    return f"{kind}: {row.species}"
