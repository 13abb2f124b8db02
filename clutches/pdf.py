"""Labels for enclosures: frozen values in, the bytes of a PDF out."""

from collections.abc import Sequence

from django.template.loader import render_to_string

from clutches.rules.labels import Label
from core.printing import print_html
from core.qr_codes import qr_code

ON_A_SHEET = 24


def draw_labels(labels: Sequence[Label]) -> bytes:
    """Draw labels as a tagged PDF (PDF/UA-1), three by eight on a sheet of A4.

    Args:
        labels: in the order in which they are printed; none makes a page that says so.

    Returns:
        The file; the same labels drawn by the same program and fonts give the same
        bytes.

    Raises:
        PrintingUnavailableError: Pango or a library beside it is not installed.
    """
    return print_html(write_labels(labels))


def write_labels(labels: Sequence[Label]) -> str:
    """Return the sheets as HTML, styles and drawings inside."""
    # An animal's code alone: it is right at any address, and without a network.
    rows = [(label, qr_code(label.code)) for label in labels]
    sheets = [rows[n : n + ON_A_SHEET] for n in range(0, len(rows), ON_A_SHEET)]
    return render_to_string("clutches/labels.html", {"sheets": sheets})
