"""Readings in lines: NDJSON, and CSV as RFC 4180 has it."""

import csv
import io
import math
import re
from collections.abc import Iterator, Sequence
from itertools import islice
from typing import Any, TypeVar

import msgspec

from api.errors import RefusedError
from api.inputs import malformed
from api.reading_batches import Batch
from api.reading_rows import read_each
from api.reading_structs import LAST_SECOND, MOST_ROWS, VALUES, ReadingIn
from api.row_lists import check_count

T = TypeVar("T")

NAMES = ("probe", "at", *VALUES)
NEEDED = ("probe", "at")
_NUMBER = r"-?\d{1,400}(?:\.\d{1,400})?(?:[eE][-+]?\d{1,3})?"
_IS_NUMBER = re.compile(_NUMBER, re.ASCII)
_IS_WHOLE = re.compile(r"-?\d{1,30}", re.ASCII)
# Of cells joined by commas: one look at a column costs less than one at each cell.
_ARE_NUMBERS = re.compile(rf"(?:{_NUMBER})?(?:,(?:{_NUMBER})?)*+", re.ASCII)
_ARE_SECONDS = re.compile(r"\d{1,10}(?:,\d{1,10})*+", re.ASCII)
_ONE_LINE = msgspec.json.Decoder(ReadingIn)


def read_ndjson(body: bytes) -> Batch:
    """Return readings that stand one a line; empty lines are passed over.

    Args:
        body: in UTF-8, lines ended by LF or CR LF.

    Raises:
        RefusedError: there is no line, there are too many, or not one can be read.
    """
    lines = _at_most(line for line in io.BytesIO(body) if line.strip())
    check_count(len(lines), most=MOST_ROWS)
    rows = _fast_lines(body)
    if len(rows) != len(lines):
        return read_each(lines, _plain_line)
    return Batch.of_rows(rows, range(len(rows)), [], received=len(rows))


def _fast_lines(body: bytes) -> list[ReadingIn]:
    """Return the rows; none where a line needs a look."""
    if b"\x00" in body or rb"\u0000" in body:
        return []
    try:
        return _ONE_LINE.decode_lines(body)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        return []


def _at_most(found: Iterator[T]) -> list[T]:
    """Return what there is; refuse before too much of it takes memory.

    Raises:
        RefusedError: with how many there are.
    """
    kept = list(islice(found, MOST_ROWS + 1))
    check_count(len(kept) + sum(1 for _ in found), most=MOST_ROWS + 1)
    return kept


def _plain_line(line: bytes) -> object:
    try:
        line.decode()  # What the decoder passes over would not be looked at.
        return msgspec.json.decode(line)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        said = str(malformed(error).detail).replace("The body", "The line", 1)
        raise RefusedError("unreadable", said) from error


def read_csv(body: bytes) -> Batch:
    """Return readings of a table with a header.

    Args:
        body: in UTF-8, with or without a byte order mark.

    Raises:
        RefusedError: it is no such table, its header is not understood, there are too
            many rows, or not one of them can be read.
    """
    header, rows = _table(body)
    _check_header(header)
    check_count(len(rows), most=MOST_ROWS)
    batch = _fast(header, rows) if {len(row) for row in rows} == {len(header)} else None
    return batch or read_each(rows, lambda row: _plain_row(header, row))


def _table(body: bytes) -> tuple[list[str], list[list[str]]]:
    try:
        text = body.decode("utf-8-sig")
        lines = csv.reader(io.StringIO(text, newline=""), strict=True)
        found = _at_most(line for line in lines if line)
    except (UnicodeDecodeError, csv.Error) as error:
        raise RefusedError(
            "malformed_csv",
            f"The body is not CSV in UTF-8 as RFC 4180 has it: {error}. Separate by "
            'commas, quote with ", and double a quote within quotes.',
        ) from error
    return [name.strip() for name in found[0]], found[1:]


def _check_header(header: list[str]) -> None:
    allowed = ", ".join(NAMES)
    for name in header:
        if name not in NAMES or header.count(name) > 1:
            why = "comes twice" if name in NAMES else "is not known"
            raise RefusedError(
                "invalid_header",
                f"The column {name!r} {why}. The first line names the columns, each "
                f"once, separated by commas; known are: {allowed}.",
                fields={name or "header": f"of: {allowed}"},
            )
    for name in NEEDED:
        if name not in header:
            raise RefusedError(
                "invalid_header",
                f"The column {name!r} is missing. The first line names the columns; "
                f"known are: {allowed}.",
                fields={name: "a column of that name"},
            )


def _fast(header: list[str], rows: list[list[str]]) -> Batch | None:
    """Return the table read column by column; None where a cell needs a look."""
    cells = dict(zip(header, zip(*rows, strict=True), strict=True))
    try:
        at = _seconds(cells["at"])
        values = [_numbers(cells.get(name)) for name in VALUES]
    except ValueError:
        return None
    if any("\x00" in code for code in set(cells["probe"])):
        return None
    return Batch.of(
        received=len(rows),
        places=range(len(rows)),
        probes=cells["probe"],
        at=at,
        values=values,
        refused=[],
    )


def _seconds(cells: Sequence[str]) -> list[int]:
    """Return cells as epoch seconds.

    Raises:
        ValueError: one of them is none.
    """
    found = list(map(int, cells)) if _ARE_SECONDS.fullmatch(",".join(cells)) else []
    if not found or max(found) > LAST_SECOND:
        raise ValueError(cells)
    return found


def _numbers(cells: Sequence[str] | None) -> list[float | None] | None:
    """Return cells as numbers.

    Raises:
        ValueError: one of them is neither a number nor empty.
    """
    if cells is None:
        return None
    if not _ARE_NUMBERS.fullmatch(",".join(cells)):
        raise ValueError(cells)
    found = [float(cell) if cell else None for cell in cells]
    if math.inf in found or -math.inf in found:
        raise ValueError(cells)
    return found


def _plain_row(header: list[str], row: list[str]) -> dict[str, Any]:
    if len(row) != len(header):
        raise RefusedError(
            "unreadable",
            f"The row has {len(row)} cells and the header has {len(header)}; leave a "
            "cell empty where nothing was measured.",
        )
    return {
        name: _plain_cell(name, cell) for name, cell in zip(header, row, strict=True)
    }


def _plain_cell(name: str, cell: str) -> Any:
    """Return what JSON would say; what is no number stays text, and is refused so."""
    if name == "probe":
        return cell
    if name == "at":
        return int(cell) if _IS_WHOLE.fullmatch(cell) else cell
    if not cell:
        return None
    return float(cell) if _IS_NUMBER.fullmatch(cell) else cell
