"""How a packet prints: frozen values in, the bytes of a PDF out."""

from functools import lru_cache
from gettext import find
from pathlib import Path

from django.conf import settings
from django.template.loader import render_to_string
from django.utils import translation
from django.utils.translation import gettext, ngettext

from core.printing import print_html
from core.qr_codes import qr_code
from placements.rules.packets.documents import PacketDocument
from placements.rules.packets.printing.booklet import lay_out
from placements.rules.packets.printing.cards import lay_out_cards
from placements.rules.packets.printing.speech import Speech

LOCALES = Path(__file__).parent / "locale"
WRITTEN_IN = "en"


def draw(packet: PacketDocument) -> bytes:
    """Draw a packet as a tagged PDF (PDF/UA-1), on the home's paper.

    Args:
        packet: as `queries.load_packet` returns it.

    Returns:
        The file; the same packet drawn by the same program and fonts, at the same
        address, gives the same bytes.

    Raises:
        PrintingUnavailableError: Pango or a library beside it is not installed.
    """
    return print_html(write_html(packet))


def write_html(packet: PacketDocument) -> str:
    """Return the booklet's page as HTML, styles and drawings inside."""
    language = language_of(packet)
    with translation.override(language):
        booklet = lay_out(
            packet, _speech(packet), language=language, address=settings.ADDRESS
        )
        page = {"b": booklet, "code": qr_code(booklet.check.code)}
        return render_to_string("placements/packet/booklet.html", page)


def draw_cards(packet: PacketDocument) -> bytes:
    """Draw the card for the enclosure and the labels of a packet as a tagged PDF.

    Args:
        packet: as `queries.load_packet` returns it.

    Returns:
        One sheet of the home's paper, to be cut.

    Raises:
        PrintingUnavailableError: Pango or a library beside it is not installed.
    """
    return print_html(write_cards(packet))


def write_cards(packet: PacketDocument) -> str:
    """Return the sheet of card and labels as HTML, styles inside."""
    language = language_of(packet)
    with translation.override(language):
        cards = lay_out_cards(
            packet, _speech(packet), language=language, address=settings.ADDRESS
        )
        page = {"b": cards, "code": qr_code(cards.check.code)}
        return render_to_string("placements/packet/cards.html", page)


def language_of(packet: PacketDocument) -> str:
    """Return the language a packet is printed in: the home's, where there is one."""
    wished = packet.document.print.language
    return wished if _is_translated(wished) else WRITTEN_IN


@lru_cache(maxsize=64)
def _is_translated(language: str) -> bool:
    locale = translation.to_locale(language)
    return find("django", str(LOCALES), [locale]) is not None


def _speech(packet: PacketDocument) -> Speech:
    return Speech(gettext, ngettext, packet.document.print.units)
