"""From text to rows of cells: which sign parts them is decided from all rows."""

import csv
import io
import re
from collections import Counter
from dataclasses import dataclass

from husbandry.rules.loggers.headers import meaning
from husbandry.rules.loggers.numbers import is_missing_word, read_number
from husbandry.rules.loggers.stamps import read_stamp
from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.vocabulary import Untrusted, facts

ALIGNED = "  "
SPACES = " "
DELIMITERS = ("\t", ";", ",", "|", ALIGNED, SPACES)
"""In order of preference where two of them fit equally well."""
SAMPLE_LINES = 300
POOR_SCORE = 0.5
"""Below it another delimiter, under which a quotation mark is not closed, is meant."""
LONGEST_CELL_LINES = 3
_ONE_QUOTED_CELL = re.compile(r'"(?:[^"]|"")*"')
_SPLITTERS = {ALIGNED: re.compile(r"\s{2,}|\t"), SPACES: re.compile(r"\s+")}


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of stripped cells, blank rows left out, with their 1-based line numbers."""

    lines: tuple[int, ...]
    rows: tuple[tuple[str, ...], ...]


def is_stamp_or_number(text: str) -> bool:
    """Say whether a cell is a stamp or a number."""
    return read_number(text) is not None or read_stamp(text) is not None


def choose_delimiter(text: str) -> str:
    """Return the delimiter under which most cells are whole values.

    For each candidate: the share of rows with the commonest number of cells (two at
    least), times the cube of the share of cells that are a number, a stamp, a word for
    nothing measured, or a known heading. A wrong sign cuts stamps and decimals to pieces, or
    leaves several of them in one cell.

    Args:
        text: the file, or as much of it as `SAMPLE_LINES` lines.

    Raises:
        UntrustedFileError: no_table when no candidate makes two columns,
            quote_not_closed when the one that might is full of open quotes.

    Source:
        House rule, no source; see ADR 0009.
    """
    sample = "\n".join(text.split("\n", SAMPLE_LINES)[:SAMPLE_LINES])
    scores: dict[str, float] = {}
    unreadable: UntrustedFileError | None = None
    for delimiter in DELIMITERS:
        try:
            scores[delimiter] = _score(split(sample, delimiter).rows)
        except UntrustedFileError as error:
            unreadable = error
    best = max(scores, key=lambda delimiter: scores[delimiter])
    if unreadable and scores[best] < POOR_SCORE:
        raise unreadable
    if not scores[best]:
        raise UntrustedFileError(Untrusted.NO_TABLE)
    return best


def _score(rows: tuple[tuple[str, ...], ...]) -> float:
    widths = Counter(len(row) for row in rows if len(row) > 1)
    if not widths:
        return 0.0
    width, count = max(widths.items(), key=lambda item: (item[1], item[0]))
    cells = [cell for row in rows if len(row) == width for cell in row if cell]
    whole = sum(1 for cell in cells if _is_whole(cell))
    # Cubed: cells in pieces weigh more than rows of uneven length, which are common.
    return round(count / len(rows) * (whole / max(len(cells), 1)) ** 3, 3)


def _is_whole(cell: str) -> bool:
    return is_stamp_or_number(cell) or is_missing_word(cell) or meaning(cell).is_known


def split(text: str, delimiter: str) -> Table:
    """Split a text into rows of stripped cells.

    Quoting is that of RFC 4180: a quoted cell may hold the delimiter and doubled
    quotes. Blanks around a cell are not part of it, unlike there.

    Args:
        text: with plain line ends.
        delimiter: one of `DELIMITERS`; two blanks stand for aligned columns.

    Raises:
        UntrustedFileError: quote_not_closed, when a quoted cell runs over more than
            three lines.

    Source:
        rfc-4180.
    """
    splitter = _SPLITTERS.get(delimiter)
    if splitter:
        pairs = [
            (line, tuple(cell.strip('" ') for cell in splitter.split(row.strip())))
            for line, row in enumerate(text.split("\n"), start=1)
            if row.strip()
        ]
    else:
        pairs = _read_delimited(text, delimiter)
    kept = [(line, row) for line, row in pairs if any(row)]
    return Table(tuple(line for line, _ in kept), tuple(row for _, row in kept))


def _read_delimited(text: str, delimiter: str) -> list[tuple[int, tuple[str, ...]]]:
    reader = csv.reader(
        io.StringIO(text, newline="\n"), delimiter=delimiter, skipinitialspace=True
    )
    pairs = []
    ended = 0
    try:
        for row in reader:
            line, ended = ended + 1, reader.line_num
            if ended - line >= LONGEST_CELL_LINES:
                raise UntrustedFileError(Untrusted.QUOTE_NOT_CLOSED, facts(line=line))
            pairs.append((line, tuple([cell.strip() for cell in row])))
    except csv.Error as error:  # a cell longer than 128 KiB
        raise UntrustedFileError(
            Untrusted.QUOTE_NOT_CLOSED, facts(line=ended + 1)
        ) from error
    return pairs


def unwrap(text: str) -> str:
    """Return a text whose every line is one quoted cell with those quotes removed.

    Some programs quote a whole record once more when they save it again.
    """
    lines = [line.strip() for line in text.split("\n") if line.strip()]
    wrapped = all(_ONE_QUOTED_CELL.fullmatch(line) for line in lines)
    inner = [line[1:-1].replace('""', '"') for line in lines]
    return "\n".join(inner) if wrapped else text
