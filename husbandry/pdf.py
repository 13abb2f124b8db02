"""How a round's sheet prints: frozen values in, the bytes of a PDF out."""

from django.template.loader import render_to_string

from core.printing import print_html
from husbandry.rules.round_printing import lay_out
from husbandry.rules.round_sheets import RoundSheet
from husbandry.rules.sentences.numbers import METRIC, Units


def draw_round(sheet: RoundSheet, *, units: Units = METRIC) -> bytes:
    """Draw the sheet of a round as a tagged PDF (PDF/UA-1) on A4.

    Args:
        sheet: as `queries.rounds.round_sheet` returns it.
        units: in which masses and conditions are told.

    Returns:
        The file; the same sheet drawn by the same program and fonts gives the same
        bytes.

    Raises:
        PrintingUnavailableError: Pango or a library beside it is not installed.
    """
    return print_html(write_round(sheet, units=units))


def write_round(sheet: RoundSheet, *, units: Units = METRIC) -> str:
    """Return the sheet's page as HTML, styles inside."""
    page = lay_out(sheet, units=units)
    return render_to_string("husbandry/round.html", {"r": page})
