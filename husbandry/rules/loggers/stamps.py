"""A whole column of stamps: read once, decided as a whole, placed on local time."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from husbandry.rules.loggers.clocks import (
    NO_OFFSET,
    Clock,
    read_clock,
)
from husbandry.rules.loggers.dates import (
    DateForm,
    DateParts,
    calendar_day,
    possible_orders,
    read_date,
)
from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.vocabulary import DayOrder, Untrusted, facts

Ints = NDArray[np.int64]

NONE = -1
STRAY_SHARE = 0.02
"""So few dates of another form are refused one by one; more condemn the column."""


class Stamp(NamedTuple):
    """One stamp as written: a date, a time of day, or both."""

    day: DateParts | None
    clock: Clock | None


@lru_cache(maxsize=8192)
def read_stamp(text: str) -> Stamp | None:
    """Return the date and time of day that a text holds, or None.

    Args:
        text: a stripped text: date and time in either order, or one of them.
    """
    found = read_date(text)
    if found:
        rest = found[1].lstrip("Tt_,; ")
        clock = read_clock(rest) if rest else None
        return None if rest and clock is None else Stamp(found[0], clock)
    clock = read_clock(text)
    if clock:
        return Stamp(None, clock)
    head, _, tail = text.partition(" ")
    clock, found = read_clock(head), read_date(tail.strip())
    if clock and found and not found[1]:
        return Stamp(found[0], clock)
    return None


@dataclass(frozen=True, slots=True, eq=False)
class StampColumn:
    """A column of stamps: each row's date (by number), time of day and offset."""

    dates: tuple[DateParts, ...]
    """The different dates, in the order of the file."""
    date_of: Ints
    """Which of `dates` a row has; -1 none."""
    clock_us: Ints
    """Microseconds since midnight; -1 none."""
    offset_s: Ints
    """As written in the stamp; `NO_OFFSET` none."""


def read_stamps(texts: Sequence[str]) -> StampColumn:
    """Read a column of stamps. Dates and times repeat, so each is read once.

    Args:
        texts: one stripped text a row; empty and unreadable ones get no date and no
            time.
    """
    memory = _Memory({}, {}, {})
    rows = [memory.read(text) for text in texts]
    columns = np.array(rows, dtype=np.int64).reshape(len(rows), 3)
    dates = tuple(memory.numbers)
    return StampColumn(dates, columns[:, 0], columns[:, 1], columns[:, 2])


@dataclass(frozen=True, slots=True)
class _Memory:
    """The dates and times of a column that were read already."""

    numbers: dict[DateParts, int]
    """The different dates, numbered as they are met."""
    heads: dict[str, int]
    """The texts before the first blank that are a whole date; -1 for others."""
    tails: dict[str, Clock | None]

    def read(self, text: str) -> tuple[int, int, int]:
        """Return a stamp's date number, time and offset; from its halves if it can."""
        head, _, tail = text.partition("T" if text[10:11] == "T" else " ")
        number = self.heads.get(head)
        if number is None:
            number = self._learn(head)
        if number != NONE and tail:
            if tail not in self.tails:
                self.tails[tail] = read_clock(tail.strip())
            clock = self.tails[tail]
            if clock is not None:
                return number, clock.us, clock.offset_s
        return self._read_whole(text)

    def _learn(self, head: str) -> int:
        found = read_date(head)
        number = self._number(found[0]) if found and not found[1] else NONE
        self.heads[head] = number
        return number

    def _number(self, parts: DateParts) -> int:
        return self.numbers.setdefault(parts, len(self.numbers))

    def _read_whole(self, text: str) -> tuple[int, int, int]:
        stamp = read_stamp(text)
        if stamp is None:
            return NONE, NONE, NO_OFFSET
        number = NONE if stamp.day is None else self._number(stamp.day)
        if stamp.clock is None:
            return number, NONE, NO_OFFSET
        return number, stamp.clock.us, stamp.clock.offset_s


def settle_form(column: StampColumn) -> DateForm | None:
    """Return the one form in which a column's dates are written; None without dates.

    Raises:
        UntrustedFileError: mixed_date_forms, when more than one row in fifty is
            written in another form: a spreadsheet has turned some dates into its
            own, often with day and month swapped.

    Source:
        House rule, no source; see ADR 0009.
    """
    rows = np.bincount(column.date_of[column.date_of >= 0], minlength=len(column.dates))
    counts: Counter[DateForm] = Counter()
    examples: dict[DateForm, DateParts] = {}
    for parts, count in zip(column.dates, rows, strict=True):
        counts[parts.form] += int(count)
        examples.setdefault(parts.form, parts)
    if not counts:
        return None
    form, most = counts.most_common(1)[0]
    total = sum(counts.values())
    if total - most > STRAY_SHARE * total:
        other = counts.most_common(2)[1][0]
        raise UntrustedFileError(
            Untrusted.MIXED_DATE_FORMS,
            facts(value=written(examples[form]), other=written(examples[other])),
        )
    return form


def orders_of(column: StampColumn) -> tuple[DayOrder, ...]:
    """Return the day orders that a column of stamps allows.

    Returns:
        One when the column decides, several when it does not; `plain` without dates.

    Raises:
        UntrustedFileError: mixed_date_forms; mixed_day_order when one date is only
            possible with the day first and another only with the month first.
    """
    form = settle_form(column)
    if form is None:
        return (DayOrder.PLAIN,)
    dates = [parts for parts in column.dates if parts.form is form]
    orders = possible_orders(dates)
    if not orders:
        day_first = next(
            (p for p in dates if not calendar_day(p, DayOrder.MDY)), dates[0]
        )
        month_first = next(
            (p for p in dates if not calendar_day(p, DayOrder.DMY)), dates[0]
        )
        raise UntrustedFileError(
            Untrusted.MIXED_DAY_ORDER,
            facts(value=written(day_first), other=written(month_first)),
        )
    return orders


def written(parts: DateParts) -> str:
    """Return a date's three numbers in the order in which they were written."""
    return f"{parts.first}/{parts.second}/{parts.third}"
