"""The one file that opens spreadsheets: the first sheet with a table, as text."""

import io
import zipfile
from collections.abc import Iterable
from datetime import date, datetime, time
from typing import Protocol

from openpyxl import load_workbook
from openpyxl.utils.exceptions import InvalidFileException

from husbandry.rules.loggers.tables import Table
from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.vocabulary import Untrusted, facts

ZIP_MARK = b"PK\x03\x04"
OLD_MARK = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
UNPACKED_LIMIT_BYTES = 200_000_000
"""A zip that unpacks to more is refused unread."""


class _Cell(Protocol):
    @property
    def value(self) -> object: ...

    @property
    def number_format(self) -> str: ...


def is_spreadsheet(data: bytes) -> bool:
    """Say whether a file is a spreadsheet, by its content and not by its name."""
    return data.startswith((ZIP_MARK, OLD_MARK))


def read_spreadsheet(data: bytes) -> Table:
    """Return the cells of the first sheet that has at least two rows.

    Line numbers are the sheet's row numbers. Dates become ISO texts, numbers their
    shortest text.

    Raises:
        UntrustedFileError: spreadsheet_old for the format before 2007,
            spreadsheet_unreadable, too_large (unpacked), empty.
    """
    if data.startswith(OLD_MARK):
        raise UntrustedFileError(Untrusted.SPREADSHEET_OLD)
    try:
        _check_unpacked_size(data)
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        tables = [_table(sheet.iter_rows()) for sheet in book.worksheets]
    except (
        zipfile.BadZipFile, InvalidFileException, KeyError, ValueError, OSError, EOFError
    ) as error:  # fmt: skip
        raise UntrustedFileError(Untrusted.SPREADSHEET_UNREADABLE) from error
    for table in tables:
        if len(table.rows) > 1:
            return table
    raise UntrustedFileError(Untrusted.EMPTY)


def _check_unpacked_size(data: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        size = sum(entry.file_size for entry in archive.infolist())
    if size > UNPACKED_LIMIT_BYTES:
        raise UntrustedFileError(
            Untrusted.TOO_LARGE, facts(size=size, limit=UNPACKED_LIMIT_BYTES)
        )


def _table(rows: Iterable[Iterable[_Cell]]) -> Table:
    lines, kept = [], []
    for line, row in enumerate(rows, start=1):
        cells = tuple(_text(cell) for cell in row)
        if any(cells):
            lines.append(line)
            kept.append(cells)
    return Table(tuple(lines), tuple(kept))


def _text(cell: _Cell) -> str:
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, datetime):
        if value.time() == time.min and "h" not in cell.number_format.casefold():
            return value.date().isoformat()
        return value.isoformat(sep=" ")
    if isinstance(value, date | time):
        return value.isoformat()
    return str(value).strip()
