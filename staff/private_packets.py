"""A home's packets behind its private address: the booklet, the card, the calendar."""

from collections.abc import Callable
from dataclasses import dataclass

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from placements.models import Packet, PrivateAddress
from placements.pdf import draw, draw_cards
from placements.queries.packet_calendars import packet_calendar
from placements.queries.packets import newest_packets
from placements.queries.private_addresses import placements_behind
from placements.rules.packets.documents import PacketDocument
from placements.rules.vocabulary import PlacementState
from staff.packets import CALENDAR, PDF, packet_file
from staff.private_doors import opens_by_address
from staff.private_sections import Part

GIVEN = (PlacementState.PLANNED.value, PlacementState.HANDED_OVER.value)


@dataclass(frozen=True, slots=True)
class Kind:
    """A file that is made of a packet."""

    make: Callable[[PacketDocument], bytes]
    kind: str
    ending: str


KINDS = {
    "booklet": Kind(draw, PDF, ".pdf"),
    "cards": Kind(draw_cards, PDF, "-cards.pdf"),
    "days": Kind(packet_calendar, CALENDAR, ".ics"),
}


def packets_part(address: PrivateAddress, request: HttpRequest) -> Part | None:
    """Return the section with the newest packet of each animal; None without one."""
    packets = _packets(address)
    if not packets:
        return None
    match = request.resolver_match
    secret = str(match.kwargs["address"]) if match else ""
    return Part(
        "staff/parts/private_packets.html", {"secret": secret, "packets": packets}
    )


@opens_by_address
@require_safe
def my_packet(
    request: HttpRequest, address: PrivateAddress, *, pk: int, kind: str
) -> HttpResponse:
    """Give a file of one of the home's own packets."""
    wanted = KINDS.get(kind)
    if wanted is None or pk not in {packet.pk for packet in _packets(address)}:
        raise Http404("There is no such file of a packet here.")
    return packet_file(request, pk, wanted.make, kind=wanted.kind, ending=wanted.ending)


def _packets(address: PrivateAddress) -> list[Packet]:
    rows = [row for row in placements_behind(address) if row.state in GIVEN]
    return newest_packets(placement_ids=[row.pk for row in rows])
