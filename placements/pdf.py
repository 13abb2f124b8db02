"""How a packet prints: frozen values in, the bytes of a PDF out."""

import ctypes
import logging
from typing import Any

from django.template.loader import render_to_string

from core.errors import DomainError
from placements.rules.packets.documents import PacketDocument
from placements.rules.packets.printing.booklet import lay_out

try:
    import weasyprint
    from weasyprint.text.fonts import FontConfiguration
    from weasyprint.urls import URLFetcher
except OSError:  # WeasyPrint loads Pango when it is imported
    weasyprint = None

# What WeasyPrint needs of the system; see the message below.
LIBRARIES = (
    "libgobject-2.0.so.0",
    "libpango-1.0.so.0",
    "libpangoft2-1.0.so.0",
    "libharfbuzz.so.0",
    "libharfbuzz-subset.so.0",
    "libfontconfig.so.1",
)
INSTALL = (
    "apt-get install --no-install-recommends libpango-1.0-0 libpangoft2-1.0-0 "
    "libharfbuzz-subset0 fonts-dejavu-core fonts-dejavu-extra"
)


class PrintingUnavailableError(DomainError):
    """The system lacks a library that drawing a PDF needs."""

    code = "printing_unavailable"


# Its progress is told page by page; only what is wrong is worth a line.
logging.getLogger("weasyprint").setLevel(logging.WARNING)


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
    check_printing()
    return print_html(write_html(packet))


def write_html(packet: PacketDocument) -> str:
    """Return the booklet's page as HTML, styles and drawings inside."""
    return render_to_string("placements/packet/booklet.html", {"b": lay_out(packet)})


def print_html(html: str) -> bytes:
    """Return a finished page as PDF; nothing outside the page is fetched."""
    page = weasyprint.HTML(
        string=html, url_fetcher=URLFetcher(allowed_protocols={"data"})
    )
    drawn: Any = page.write_pdf(pdf_variant="pdf/ua-1", font_config=FontConfiguration())
    return bytes(drawn)


def check_printing() -> None:
    """Refuse, with the line to run, where a needed library is missing.

    Raises:
        PrintingUnavailableError: names what is missing.
    """
    missing = [name for name in LIBRARIES if not _loads(name)]
    if missing or weasyprint is None:
        raise PrintingUnavailableError(
            f"Packets cannot be drawn: {', '.join(missing) or 'Pango'} is missing. "
            f"On Debian run: {INSTALL}"
        )


def _loads(name: str) -> bool:
    try:
        ctypes.CDLL(name)
    except OSError:
        return False
    return True
