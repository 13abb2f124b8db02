"""Rounds: which rooms to walk today, in order, and the sheet to take along."""

from dataclasses import dataclass
from datetime import date
from http import HTTPStatus
from zoneinfo import ZoneInfo

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from core.models import Room, Site
from core.printing import PrintingUnavailableError
from core.roles import Permission
from husbandry.pdf import draw_round
from husbandry.queries.rounds import rooms_in_walking_order, round_sheet
from husbandry.rules.care.facts import CaredRoom
from staff.doors import opens_to, person
from staff.units import units_of, weekday

FIRST_DAY, LAST_DAY = date(1970, 1, 1), date(2199, 12, 31)
"""Further off, days have no bounds in every time zone's tables."""


@dataclass(frozen=True, slots=True)
class SiteRooms:
    """A site's rooms in walking order, and which day it is there."""

    name: str
    on: date
    day: str
    rooms: tuple[CaredRoom, ...]


@opens_to(Permission.SEE_ANIMALS)
def rounds(request: HttpRequest) -> HttpResponse:
    """List the rooms in the order in which they are walked."""
    now = timezone.now()
    sites = []
    for site in Site.objects.order_by("name", "pk"):
        on = now.astimezone(ZoneInfo(site.time_zone)).date()
        rooms = rooms_in_walking_order(site=site)
        sites.append(SiteRooms(site.name, on, weekday(on), rooms))
    return render(request, "staff/rounds.html", {"sites": sites})


@opens_to(Permission.SEE_ANIMALS)
def round_file(request: HttpRequest, pk: int, on: str) -> HttpResponse:
    """Draw the sheet of one room and one day."""
    room = get_object_or_404(Room.objects.select_related("site"), pk=pk)
    try:
        day = date.fromisoformat(on)
    except ValueError as error:
        raise Http404(f"{on!r} is no date. Write it as 2027-03-12.") from error
    if not FIRST_DAY <= day <= LAST_DAY:
        raise Http404(f"{day} is too far off.")
    sheet = round_sheet(room=room, on=day, at=timezone.now())
    try:
        drawn = draw_round(sheet, units=units_of(person(request)))
    except PrintingUnavailableError as error:
        return render(
            request,
            "staff/refused.html",
            {"refused": error.sentence},
            status=HTTPStatus.SERVICE_UNAVAILABLE,
        )
    name = f"round-{room.site.code}-{room.code}-{day}.pdf"
    return HttpResponse(
        drawn,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="{name}"'},
    )
