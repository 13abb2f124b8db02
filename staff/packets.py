"""Packets as files: what is printed and goes home with the animal."""

from http import HTTPStatus

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from core.errors import NotFoundError
from core.printing import PrintingUnavailableError
from core.roles import Permission
from placements.pdf import draw
from placements.queries.packets import load_packet
from placements.rules.packets.documents import PacketAlteredError
from staff.doors import opens_to


@opens_to(Permission.SEE_PLACEMENTS)
def packet(request: HttpRequest, pk: int) -> HttpResponse:
    """Draw a packet, checked against its hash first."""
    try:
        loaded = load_packet(pk)
        drawn = draw(loaded)
    except NotFoundError as error:
        raise Http404(error.sentence) from error
    except PacketAlteredError as error:
        return _refused(request, error.sentence, HTTPStatus.CONFLICT)
    except PrintingUnavailableError as error:
        return _refused(request, error.sentence, HTTPStatus.SERVICE_UNAVAILABLE)
    return HttpResponse(
        drawn,
        content_type="application/pdf",
        headers={"Content-Disposition": f'attachment; filename="{loaded.number}.pdf"'},
    )


def _refused(request: HttpRequest, sentence: str, status: HTTPStatus) -> HttpResponse:
    return render(request, "staff/refused.html", {"refused": sentence}, status=status)
