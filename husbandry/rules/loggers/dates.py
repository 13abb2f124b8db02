"""Dates as written, and which orders of day, month and year they allow."""

import re
from collections.abc import Iterable
from datetime import date
from enum import StrEnum
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from husbandry.rules.loggers.vocabulary import DayOrder
from husbandry.rules.loggers.words import month_number

CENTURY_TURN = 69
"""Two-digit years 00–68 are 2000–2068, 69–99 are 1969–1999 (POSIX strptime %y)."""
YEARLY_STEP_DAYS = 300


class DateForm(StrEnum):
    """How the parts of a date are written."""

    YEAR_FIRST = "year_first"
    YEAR_LAST = "year_last"
    SHORT = "short"
    """Three numbers of at most two digits."""
    NAMED = "named"
    """The month by its name; the parts are kept as day, month, year."""


class DateParts(NamedTuple):
    """The three numbers of a date, in the order in which they are written."""

    form: DateForm
    first: int
    second: int
    third: int


_WEEKDAY = r"(?:[^\W\d_]{2,12}\.?,?\s+)?"
_NUMERIC = re.compile(
    _WEEKDAY + r"(\d{1,4})\s?([./\-])\s?(\d{1,2})\s?\2\s?(\d{1,4})\.?(?![\d.])"
)
_HAN = re.compile(r"(\d{4})\s?[年년]\s?(\d{1,2})\s?[月월]\s?(\d{1,2})\s?[日일]")
_DAY_NAME = re.compile(
    _WEEKDAY + r"(\d{1,2})(?:\.|st|nd|rd|th|º|er)?[\s\-/.]*(?:de\s)?"
    r"([^\W\d_]{3,12})\.?,?[\s\-/.]*(?:de\s)?(\d{4}|\d{2})(?![\d:])",
    re.IGNORECASE,
)
_NAME_DAY = re.compile(
    _WEEKDAY + r"([^\W\d_]{3,12})\.?\s+(\d{1,2})(?:st|nd|rd|th)?,?\s+(\d{4})(?!\d)",
    re.IGNORECASE,
)
_YEAR_NAME_DAY = re.compile(r"(\d{4})[\s\-]([^\W\d_]{3,12})\.?[\s\-](\d{1,2})(?!\d)")
_COMPACT = re.compile(
    r"((?:19|20)\d\d)(0[1-9]|1[0-2])(0[1-9]|[12]\d|3[01])(?=[Tt_\s]|$|\d{4})"
)


def _numeric(match: re.Match[str]) -> DateParts | None:
    first, second, third = match.group(1, 3, 4)
    if len(first) == 4:
        form = DateForm.YEAR_FIRST
    elif len(third) == 4:
        form = DateForm.YEAR_LAST
    else:
        form = DateForm.SHORT
    if (
        len(first) == 3
        or len(third) == 3
        or (form is DateForm.YEAR_FIRST and len(third) > 2)
    ):
        return None
    return DateParts(form, int(first), int(second), int(third))


def _day_name(match: re.Match[str]) -> DateParts | None:
    month = month_number(match[2])
    if month is None:
        return None
    year = int(match[3]) if len(match[3]) == 4 else _full_year(int(match[3]))
    return DateParts(DateForm.NAMED, int(match[1]), month, year)


def _name_day(match: re.Match[str]) -> DateParts | None:
    month = month_number(match[1])
    if month is None:
        return None
    return DateParts(DateForm.NAMED, int(match[2]), month, int(match[3]))


def _year_name_day(match: re.Match[str]) -> DateParts | None:
    month = month_number(match[2])
    if month is None:
        return None
    return DateParts(DateForm.NAMED, int(match[3]), month, int(match[1]))


def _year_first(match: re.Match[str]) -> DateParts:
    year, month, day = (int(part) for part in match.groups())
    return DateParts(DateForm.YEAR_FIRST, year, month, day)


_READERS = (
    (_NUMERIC, _numeric),
    (_DAY_NAME, _day_name),
    (_NAME_DAY, _name_day),
    (_HAN, _year_first),
    (_COMPACT, _year_first),
    (_YEAR_NAME_DAY, _year_name_day),
)


def read_date(text: str) -> tuple[DateParts, str] | None:
    """Return the date that a text begins with, and what follows it.

    Args:
        text: a stripped text. Nothing is decided about its order here.

    Returns:
        None when the text begins with no date. The part in the middle is never
        zero, which tells `18.00.00` (a time) from a date.
    """
    for pattern, parts in _READERS:
        match = pattern.match(text)
        found = parts(match) if match else None
        if match and found and found.second and (found.first or found.third):
            return found, text[match.end() :].strip()
    return None


def _full_year(year: int) -> int:
    if year >= 100:
        return year
    return year + (2000 if year < CENTURY_TURN else 1900)


@lru_cache(maxsize=65536)
def calendar_day(parts: DateParts, order: DayOrder) -> date | None:
    """Return the day that a written date means, or None when there is no such day.

    Args:
        parts: as written.
        order: how to take them. Dates that say themselves what they mean (year
            first, month by name) do not ask for it.

    Source:
        iso-8601 for the year first, posix-strptime for two-digit years.
    """
    form, first, second, third = parts
    if form is DateForm.YEAR_FIRST:
        year, month, day = first, second, third
    elif form is DateForm.NAMED or order is DayOrder.DMY:
        day, month, year = first, second, third
    elif order is DayOrder.MDY:
        month, day, year = first, second, third
    elif order is DayOrder.YMD and form is DateForm.SHORT:
        year, month, day = first, second, third
    else:
        return None
    try:
        return date(_full_year(year), month, day)
    except ValueError:
        return None


ORDERS_OF = {
    DateForm.YEAR_FIRST: (DayOrder.PLAIN,),
    DateForm.NAMED: (DayOrder.PLAIN,),
    DateForm.YEAR_LAST: (DayOrder.DMY, DayOrder.MDY),
    DateForm.SHORT: (DayOrder.DMY, DayOrder.MDY, DayOrder.YMD),
}


def possible_orders(dates: Iterable[DateParts]) -> tuple[DayOrder, ...]:
    """Return the orders in which a whole column of dates can be read.

    An order is possible when every date of the column exists in it; dates that
    exist in no order have no voice. Of two-digit years an order is also impossible
    when it makes the column one day of each year, since no logger runs so. Whether
    days or months advance more smoothly is never asked: that would be a guess.

    Args:
        dates: the different dates of one form, in the order of the file.

    Returns:
        Empty when the dates contradict each other (one only exists as day first,
        another only as month first). Several when the column does not decide; only
        one of them when they would all mean the same days.

    Source:
        House rule, no source; see ADR 0009.
    """
    column = tuple(dates)
    if not column:
        return ()
    orders = ORDERS_OF[column[0].form]
    days = {order: [calendar_day(parts, order) for parts in column] for order in orders}
    heard = [any(days[order][i] for order in orders) for i in range(len(column))]
    possible = [
        order
        for order in orders
        if all(day or not voice for day, voice in zip(days[order], heard, strict=True))
    ]
    if column[0].form is DateForm.SHORT:
        running = [order for order in possible if not _one_day_a_year(days[order])]
        possible = running or possible
    if possible and all(days[order] == days[possible[0]] for order in possible):
        return (possible[0],)
    return tuple(possible)


def _one_day_a_year(days: list[date | None]) -> bool:
    known = [day for day in days if day is not None]
    steps = [abs((b - a).days) for a, b in pairwise(known)]
    return len(steps) > 1 and min(steps) >= YEARLY_STEP_DAYS
