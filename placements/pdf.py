"""How a packet prints: frozen values in, the bytes of a PDF out."""

from django.template.loader import render_to_string

from core.printing import print_html
from placements.rules.packets.documents import PacketDocument
from placements.rules.packets.printing.booklet import lay_out


def draw(packet: PacketDocument) -> bytes:
    """Draw a packet as a tagged PDF (PDF/UA-1) on A4.

    Args:
        packet: as `queries.load_packet` returns it.

    Returns:
        The file; the same packet drawn by the same program and fonts gives the
        same bytes.

    Raises:
        PrintingUnavailableError: Pango or a library beside it is not installed.
    """
    return print_html(write_html(packet))


def write_html(packet: PacketDocument) -> str:
    """Return the booklet's page as HTML, styles and drawings inside."""
    return render_to_string("placements/packet/booklet.html", {"b": lay_out(packet)})
