"""From a file's bytes to the cells of a pedigree, whatever parts them."""

from collections.abc import Mapping
from dataclasses import dataclass

from clutches.rules.pedigrees.errors import PedigreeFileError
from clutches.rules.pedigrees.headings import (
    Column,
    columns_of,
    is_pedigree_header,
    meaning,
)
from husbandry.rules.loggers.spreadsheets import is_spreadsheet, read_spreadsheet
from husbandry.rules.loggers.tables import Table, split, unwrap
from husbandry.rules.loggers.text import decode
from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.vocabulary import Untrusted

SIZE_LIMIT_BYTES = 10_000_000
MOST_ROWS = 50_000
TITLE_LINES = 20
"""So many rows may stand above the headings."""
DELIMITERS = ("\t", ";", ",", "|")
"""In order of preference where two of them fit equally well."""


@dataclass(frozen=True, slots=True)
class Cells:
    """The rows of a pedigree file, cell by cell, and where each kind stands."""

    lines: tuple[int, ...]
    rows: tuple[tuple[str, ...], ...]
    columns: Mapping[Column, int]
    width: int

    def cell(self, row: tuple[str, ...], column: Column) -> str:
        """Return a cell; empty where there is no such column, or the row is short."""
        at = self.columns.get(column)
        return row[at] if at is not None and at < len(row) else ""


def read_cells(data: bytes, *, encoding: str = "") -> Cells:
    """Read a file's bytes as a pedigree.

    Text in any usual encoding whose cells are parted by tabs, semicolons, commas or
    bars, or a spreadsheet; which, is told by its content. Titles may stand above the
    headings; the order of columns does not matter.

    Args:
        data: the file.
        encoding: a codec's name where a person knows it; empty for the rule.

    Raises:
        PedigreeFileError: it is empty, too large, no text, or has no headings for
            an animal and a parent.

    Source:
        rfc-4180 for delimited text; ADR 0009.
    """
    if len(data) > SIZE_LIMIT_BYTES:
        raise PedigreeFileError(
            f"The file has {len(data):,} bytes; at most {SIZE_LIMIT_BYTES:,} are read. "
            "Split it."
        )
    if not data.strip(b"\x00 \r\n\t\xef\xbb\xbf\xff\xfe"):
        raise PedigreeFileError("The file is empty.")
    try:
        cells = _found(data, encoding)
    except UntrustedFileError as error:
        raise PedigreeFileError(_sentence(error)) from error
    if len(cells.rows) > MOST_ROWS:
        raise PedigreeFileError(
            f"The file has {len(cells.rows):,} rows; at most {MOST_ROWS:,} are taken. "
            "Split it, ancestors first."
        )
    return cells


def _sentence(error: UntrustedFileError) -> str:
    if error.reason is Untrusted.NOT_TEXT:
        return "The file is neither text nor a spreadsheet. Save it as CSV or .xlsx."
    return error.sentence


def _found(data: bytes, encoding: str) -> Cells:
    if is_spreadsheet(data):
        return _headed(read_spreadsheet(data))
    text, _ = decode(data, encoding=encoding)
    text = unwrap(text)
    top = "\n".join(text.split("\n", TITLE_LINES)[:TITLE_LINES])
    known = {sign: _most_headings(top, sign) for sign in DELIMITERS}
    return _headed(split(text, max(known, key=lambda sign: known[sign])))


def _most_headings(top: str, sign: str) -> int:
    """Return how many headings of a pedigree the best row has under a delimiter."""
    try:
        rows = split(top, sign).rows
    except UntrustedFileError:  # a quotation mark that this delimiter leaves open
        return 0
    known = ({meant[0] for h in row if (meant := meaning(h))} for row in rows)
    return max(map(len, known), default=0)


def _headed(table: Table) -> Cells:
    for at, row in enumerate(table.rows[:TITLE_LINES]):
        columns = columns_of(row)
        if is_pedigree_header(columns):
            return Cells(table.lines[at + 1 :], table.rows[at + 1 :], columns, len(row))
    raise PedigreeFileError(
        "No pedigree was found: no row has headings for an animal and for a parent. "
        "Accepted are headings such as: code, dam, sire, sex, hatched, name, species; "
        "parted by commas, semicolons, tabs or bars.",
        fields={"file": "headings for an animal and a parent at least"},
    )
