"""What the cells of a column are, going by the cells themselves."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from husbandry.rules.loggers.clocks import is_half_of_day, read_clock
from husbandry.rules.loggers.numbers import Written, is_missing_word, read_number
from husbandry.rules.loggers.stamps import read_stamp
from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.vocabulary import Untrusted, facts

SAMPLE_CELLS = 500
MOST_CELLS = 0.6
SOME_CELLS = 0.3


class Content(StrEnum):
    """What most cells of a column are."""

    STAMP = "stamp"
    DAY = "day"
    CLOCK = "clock"
    HALF_OF_DAY = "half_of_day"
    NUMBER = "number"
    WORDS = "words"
    NOTHING = "nothing"


STAMP_KINDS = (Content.STAMP, Content.DAY, Content.CLOCK)


def content_of(
    cells: list[str], *, stamp_heading: bool, clock_heading: bool
) -> tuple[Content, float]:
    """Return what most cells of a column are, and which share of them.

    Args:
        cells: the column; a sample of it is looked at.
        stamp_heading: whether the heading says date or time, so that three stamps in
            ten are enough; the other rows will be refused by name.
        clock_heading: whether the heading says it is a time of day, which makes
            `18.00` one and not a number.
    """
    filled = [cell for cell in cells if cell]
    sample = filled[:: max(1, len(filled) // SAMPLE_CELLS)]
    if not sample:
        return Content.NOTHING, 1.0
    counts = Counter(_kind(cell, clock_heading=clock_heading) for cell in sample)
    # A midnight may stand there without its time.
    if counts[Content.STAMP]:
        counts[Content.STAMP] += counts.pop(Content.DAY, 0)
    stamps = {kind: counts[kind] for kind in STAMP_KINDS}
    kind = max(STAMP_KINDS, key=lambda kind: stamps[kind])
    if stamp_heading and stamps[kind] >= SOME_CELLS * len(sample):
        return kind, stamps[kind] / len(sample)
    kind, count = counts.most_common(1)[0]
    share = count / len(sample)
    return (kind, share) if share >= MOST_CELLS else (Content.WORDS, 1 - share)


def _kind(cell: str, *, clock_heading: bool) -> Content:
    if clock_heading and read_clock(cell) and not cell.isdecimal():
        return Content.CLOCK
    if read_number(cell) or is_missing_word(cell):
        return Content.NUMBER
    stamp = read_stamp(cell)
    if stamp is None:
        return Content.HALF_OF_DAY if is_half_of_day(cell) else Content.WORDS
    if stamp.day is None:
        return Content.CLOCK
    return Content.STAMP if stamp.clock else Content.DAY


def numbers_in(
    cells: Iterable[str], *, sentinels: frozenset[Decimal]
) -> list[tuple[Written, int]]:
    """Return the numbers of a column that are no sentinels, each with its rows."""
    counts = Counter(cells)
    read = [(read_number(cell), rows) for cell, rows in counts.items() if cell]
    return [(w, rows) for w, rows in read if w and w.value not in sentinels]


@dataclass(frozen=True, slots=True)
class DecimalMark:
    """The decimal mark of a file, and whether its numbers show it."""

    mark: str
    shown: bool


def decimal_mark_of(numbers: Iterable[tuple[Written, int]]) -> DecimalMark:
    """Return the one decimal mark of a file's numbers.

    Args:
        numbers: of all mapped columns, with their rows.

    Returns:
        A full stop, not shown, when no number has decimals.

    Raises:
        UntrustedFileError: decimal_marks_mixed, when more than one number in fifty
            is written with the rarer mark. So few are refused one by one.

    Source:
        House rule, no source; see ADR 0009.
    """
    rows: Counter[str] = Counter()
    example: dict[str, str] = {}
    for written, count in numbers:
        if written.mark:
            rows[written.mark] += count
            example.setdefault(written.mark, str(written.value))
    if not rows:
        return DecimalMark(".", shown=False)
    mark, most = rows.most_common(1)[0]
    total = sum(rows.values())
    if (total - most) * 50 > total:
        raise UntrustedFileError(
            Untrusted.DECIMAL_MARKS_MIXED,
            facts(points=rows["."], commas=rows[","], value=example[","]),
        )
    return DecimalMark(mark, shown=True)
