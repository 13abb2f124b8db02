"""Packets as files: what is printed and goes home with the animal."""

from collections.abc import Callable
from http import HTTPStatus

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from core.errors import NotFoundError
from core.printing import PrintingUnavailableError
from core.roles import Permission
from placements.pdf import draw, draw_cards
from placements.queries.packet_calendars import packet_calendar
from placements.queries.packets import load_packet
from placements.rules.packets.documents import PacketAlteredError, PacketDocument
from staff.doors import opens_to

PDF, CALENDAR = "application/pdf", "text/calendar; charset=utf-8"


@opens_to(Permission.SEE_PLACEMENTS)
def packet(request: HttpRequest, pk: int) -> HttpResponse:
    """Draw a packet, checked against its hash first."""
    return packet_file(request, pk, draw, kind=PDF, ending=".pdf")


@opens_to(Permission.SEE_PLACEMENTS)
def packet_cards(request: HttpRequest, pk: int) -> HttpResponse:
    """Draw the card and the labels of a packet, checked against its hash first."""
    return packet_file(request, pk, draw_cards, kind=PDF, ending="-cards.pdf")


@opens_to(Permission.SEE_PLACEMENTS)
def packet_days(request: HttpRequest, pk: int) -> HttpResponse:
    """Give the days of a packet as a calendar file."""
    return packet_file(request, pk, packet_calendar, kind=CALENDAR, ending=".ics")


def packet_file(
    request: HttpRequest,
    pk: int,
    make: Callable[[PacketDocument], bytes],
    *,
    kind: str,
    ending: str,
) -> HttpResponse:
    """Return a file that is made of a packet.

    Args:
        request: shown beside a refusal.
        pk: of the packet.
        make: from the packet to the file.
        kind: of the file, as HTTP names it.
        ending: of its name, which begins with the packet's number.

    Raises:
        Http404: there is no such packet.
    """
    try:
        loaded = load_packet(pk)
        made = make(loaded)
    except NotFoundError as error:
        raise Http404(error.sentence) from error
    except PacketAlteredError as error:
        return refused(request, error.sentence, HTTPStatus.CONFLICT)
    except PrintingUnavailableError as error:
        return refused(request, error.sentence, HTTPStatus.SERVICE_UNAVAILABLE)
    name = f'attachment; filename="{loaded.number}{ending}"'
    return HttpResponse(made, content_type=kind, headers={"Content-Disposition": name})


def refused(request: HttpRequest, sentence: str, status: HTTPStatus) -> HttpResponse:
    """Return a page that says in one sentence why there is no file."""
    return render(request, "staff/refused.html", {"refused": sentence}, status=status)
