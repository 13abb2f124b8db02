"""A logger's file as rows of cells under headings, or the reason why it is none."""

from collections import Counter
from dataclasses import dataclass
from itertools import pairwise

from husbandry.rules.loggers.headers import Role, is_units_row, meaning
from husbandry.rules.loggers.numbers import read_number
from husbandry.rules.loggers.spreadsheets import is_spreadsheet, read_spreadsheet
from husbandry.rules.loggers.stamps import read_stamp
from husbandry.rules.loggers.tables import Table, choose_delimiter, split, unwrap
from husbandry.rules.loggers.text import decode
from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.vocabulary import Untrusted, facts

SIZE_LIMIT_BYTES = 64_000_000
SPREADSHEET = "spreadsheet"
WIDE_SHARE = 0.1
"""So many rows with more cells than headings may be slips; more are a broken file."""
INDEX_LIMIT = 100_000_000
SAMPLE_ROWS = 400


@dataclass(frozen=True, slots=True)
class Sheet:
    """A file's table: headings, and rows that may be shorter or longer than them."""

    name: str
    encoding: str
    """A codec's name, or `spreadsheet`."""
    delimiter: str
    """Empty for a spreadsheet; two blanks for aligned columns."""
    preamble: tuple[str, ...]
    """The title lines above the headings."""
    header: tuple[str, ...]
    """One heading a column; empty texts for columns without one."""
    header_line: int
    """1-based; 0 when the file has no headings."""
    lines: tuple[int, ...]
    rows: tuple[tuple[str, ...], ...]

    @property
    def width(self) -> int:
        """Return the number of columns."""
        return len(self.header)

    def column(self, index: int) -> list[str]:
        """Return one column's cells; empty where a row is too short."""
        return [row[index] if index < len(row) else "" for row in self.rows]

    def label(self, index: int) -> str:
        """Return a column's heading, or its number where it has none."""
        heading = self.header[index] if index < self.width else ""
        return heading or f"column {index + 1}"


def read_sheet(data: bytes, *, name: str, encoding: str = "") -> Sheet:
    """Read a file's bytes as a table.

    Args:
        data: the file, text or spreadsheet; which one is told by its content.
        name: the file's name, for reports only.
        encoding: a codec's name where a person knows it; empty for the rule.

    Raises:
        UntrustedFileError: empty, too_large, not_text, encoding_wrong, no_table,
            delimiter_broken, quote_not_closed, header_shifted or a spreadsheet that
            cannot be read.

    Source:
        rfc-4180 for delimited text; the rest is a house rule, see ADR 0009.
    """
    if len(data) > SIZE_LIMIT_BYTES:
        raise UntrustedFileError(
            Untrusted.TOO_LARGE, facts(size=len(data), limit=SIZE_LIMIT_BYTES)
        )
    if not data.strip(b"\x00 \r\n\t\xef\xbb\xbf\xff\xfe"):
        raise UntrustedFileError(Untrusted.EMPTY)
    if is_spreadsheet(data):
        return _sheet(read_spreadsheet(data), name, SPREADSHEET, "")
    text, used = decode(data, encoding=encoding)
    text = unwrap(text)
    delimiter = choose_delimiter(text)
    return _sheet(split(text, delimiter), name, used, delimiter)


def _sheet(table: Table, name: str, encoding: str, delimiter: str) -> Sheet:
    stamp_at = _stamp_position(table.rows)
    first = _first_data_row(table.rows, stamp_at)
    head = _header_row(table.rows[:first])
    if head is None:
        width = max(len(row) for row in table.rows[first:])
        header, body, header_line = ("",) * width, first, 0
    else:
        body = head + 1
        header, header_line = _trimmed(table.rows[head]), table.lines[head]
        if body < first and is_units_row(table.rows[body]):
            header, body = _with_units(header, table.rows[body]), body + 1
        header = _fitted(header, table.rows[body:], table.rows[head])
        _check_shift(header, stamp_at)
    joint = delimiter.strip() or " "
    titles = table.rows[: first if head is None else head]
    return Sheet(
        name=name,
        encoding=encoding,
        delimiter=delimiter,
        preamble=tuple(joint.join(filter(None, row)) for row in titles),
        header=header,
        header_line=header_line,
        lines=table.lines[body:],
        rows=table.rows[body:],
    )


def _is_stamp(cell: str) -> bool:
    """Say whether a cell is a stamp; `21.50` is a number here, though a clock too."""
    return read_number(cell) is None and read_stamp(cell) is not None


def _stamp_position(rows: tuple[tuple[str, ...], ...]) -> int | None:
    """Return the column in which most rows have their first stamp."""
    sample = rows[:: max(1, len(rows) // SAMPLE_ROWS)]
    found: Counter[int] = Counter()
    for row in sample:
        for place, cell in enumerate(row):
            if cell and _is_stamp(cell):
                found[place] += 1
                break
    return found.most_common(1)[0][0] if found else None


def _first_data_row(rows: tuple[tuple[str, ...], ...], stamp_at: int | None) -> int:
    """Return the first row with a stamp in its place and a number beside it.

    Raises:
        UntrustedFileError: no_table, when there is no such row.
    """
    for number, row in enumerate(rows):
        if stamp_at is None:
            others = [cell for cell in row if cell]
            needed = 2
        elif stamp_at < len(row) and _is_stamp(row[stamp_at]):
            others = [cell for cell in (*row[:stamp_at], *row[stamp_at + 1 :]) if cell]
            needed = 1
        else:
            continue
        if sum(1 for cell in others if read_number(cell)) >= needed:
            return number
    raise UntrustedFileError(Untrusted.NO_TABLE)


def _header_row(rows: tuple[tuple[str, ...], ...]) -> int | None:
    """Return the row above the data that says most as a heading."""
    best, best_score = None, 0
    for number, row in enumerate(rows):
        filled = [cell for cell in row if cell]
        score = sum(1 for cell in filled if meaning(cell).is_known)
        if len(filled) > 1 and score and score >= best_score:
            best, best_score = number, score
    if best is not None or not rows:
        return best
    filled = [cell for cell in rows[-1] if cell]
    values = any(read_number(cell) or read_stamp(cell) for cell in filled)
    return len(rows) - 1 if len(filled) > 1 and not values else None


def _trimmed(row: tuple[str, ...]) -> tuple[str, ...]:
    filled = len(row)
    while filled and not row[filled - 1]:
        filled -= 1
    return row[:filled]


def _with_units(header: tuple[str, ...], units: tuple[str, ...]) -> tuple[str, ...]:
    padded = units + ("",) * (len(header) - len(units))
    return tuple(
        f"{heading} ({unit.strip('[]()')})" if unit else heading
        for heading, unit in zip(header, padded, strict=False)
    )


def _fitted(
    header: tuple[str, ...],
    rows: tuple[tuple[str, ...], ...],
    as_written: tuple[str, ...],
) -> tuple[str, ...]:
    """Return the headings over the columns that the rows really have.

    Raises:
        UntrustedFileError: delimiter_broken, when rows have more cells than there
            are headings (a decimal comma between unquoted commas) or fewer than a
            heading that is needed.
    """
    wide = [row for row in rows if len(row) > len(header) and any(row[len(header) :])]
    usual = Counter(len(row) for row in rows).most_common(1)[0][0] if rows else 0
    if len(wide) > WIDE_SHARE * len(rows):
        if usual == len(as_written) + 1 and _counts_up(rows):
            return ("", *header)
        raise UntrustedFileError(
            Untrusted.DELIMITER_BROKEN,
            facts(headings=len(header), cells=usual, rows=len(wide)),
        )
    beyond = [heading for heading in header[usual:] if meaning(heading).is_known]
    if rows and any(meaning(h).role is not Role.DERIVED for h in beyond):
        raise UntrustedFileError(
            Untrusted.DELIMITER_BROKEN,
            facts(headings=len(header), cells=usual, rows=len(rows)),
        )
    return header


def _counts_up(rows: tuple[tuple[str, ...], ...]) -> bool:
    """Say whether the first cells number the rows: whole, rising, mostly by one."""
    cells = [row[0] for row in rows]
    if not all(cell.isdecimal() and int(cell) < INDEX_LIMIT for cell in cells):
        return False
    steps = [int(b) - int(a) for a, b in pairwise(cells)]
    ones = steps.count(1)
    return all(step > 0 for step in steps) and ones * 2 > len(steps) - 1


def _check_shift(header: tuple[str, ...], stamp_at: int | None) -> None:
    """Refuse headings of which one says "date" over a column that holds none."""
    stamps = [
        n for n, heading in enumerate(header) if meaning(heading).role is Role.STAMP
    ]
    if stamp_at is None or not stamps or stamp_at >= len(header):
        return
    if stamp_at not in stamps and header[stamp_at]:
        raise UntrustedFileError(
            Untrusted.HEADER_SHIFTED,
            facts(heading=header[stamps[0]], column=stamp_at + 1),
        )
