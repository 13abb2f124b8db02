"""Tables as CSV by RFC 4180, safe to be opened as a spreadsheet."""

import csv
from collections.abc import Iterable, Sequence
from datetime import date
from io import StringIO

Cell = str | int | float | date | None
# A spreadsheet takes a text that begins so for a formula.
FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")


def as_csv(headings: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """Return a table as CSV.

    Args:
        headings: of the columns.
        rows: as many cells each; None is an empty cell.

    Returns:
        Comma, CRLF, quotes doubled. A text that a spreadsheet would take for a
        formula gets an apostrophe before it.

    Source:
        rfc-4180; csv-formulas for the apostrophe.
    """
    written = StringIO()
    writer = csv.writer(written, lineterminator="\r\n")
    writer.writerow(headings)
    writer.writerows([_text(cell) for cell in row] for row in rows)
    return written.getvalue()


def _text(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, float):
        return f"{cell:.8g}"
    if isinstance(cell, str) and cell.startswith(FORMULA):
        return f"'{cell}"
    return str(cell)
