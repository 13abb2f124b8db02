"""Hatch dates as pedigree files have them: days, months, years, and in which order."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from clutches.rules.pedigrees.cells import is_unknown
from clutches.rules.pedigrees.errors import PedigreeUndecidedError
from husbandry.rules.loggers.clocks import read_clock
from husbandry.rules.loggers.dates import (
    ORDERS_OF,
    DateForm,
    DateParts,
    calendar_day,
    read_date,
)
from husbandry.rules.loggers.vocabulary import DayOrder
from husbandry.rules.loggers.words import month_number
from husbandry.rules.vocabulary import DatePrecision

FIRST_YEAR = 1900
"""No animal on record hatched before; earlier years are slips. House rule, no source."""
ACCEPTED = "a day as 2024-05-31, a month as 2024-05 or a year as 2024"
_NAMES = {DayOrder.DMY: "dmy", DayOrder.MDY: "mdy", DayOrder.YMD: "ymd"}
_ABOUT = re.compile(r"(?:ca?\.?|circa|about|approx\.?|~)\s*(?=\S)", re.IGNORECASE)
_NO_DATE = re.compile(r"0+(?:[./-]0+)+")
_YEAR = re.compile(r"(\d{4})(?:[./-]0{1,2}[./-]0{1,2})?")
_YEAR_MONTH = re.compile(r"(\d{4})[./-](\d{1,2})(?:[./-]0{1,2})?")
_MONTH_YEAR = re.compile(r"(\d{1,2})[./-](\d{4})")
_NAME_YEAR = re.compile(r"([^\W\d_]{3,12})\.?[\s,./-]+(\d{4})")
_YEAR_NAME = re.compile(r"(\d{4})[\s,./-]+([^\W\d_]{3,12})\.?")


@dataclass(frozen=True, slots=True)
class Hatched:
    """When an animal hatched, as exactly as it is said; None: not known."""

    on: date | None
    precision: DatePrecision


NOT_KNOWN = Hatched(None, DatePrecision.UNKNOWN)
Written = DateParts | Hatched | None
"""A cell as written: a day whose order is open, what it says, or nothing readable."""


def read_hatched(text: str) -> Written:
    """Return what a cell says of hatching; a day keeps its three numbers.

    Args:
        text: a cell; "about" may stand before a month or a year.
    """
    if is_unknown(text) or _NO_DATE.fullmatch(text):
        return NOT_KNOWN
    about = _ABOUT.match(text)
    month = _month(text[about.end() :] if about else text)
    if month is not None or about:
        return month
    found = read_date(text)
    if found is None or (found[1] and read_clock(found[1].lstrip("Tt_,; ")) is None):
        return None
    return found[0]


def _month(text: str) -> Hatched | None:
    """Return a month or a year; a day, or nothing, is None."""
    if match := _YEAR.fullmatch(text):
        return _rough(int(match[1]), 1, DatePrecision.YEAR)
    for pattern, year, month in ((_YEAR_MONTH, 1, 2), (_MONTH_YEAR, 2, 1)):
        if match := pattern.fullmatch(text):
            return _rough(int(match[year]), int(match[month]), DatePrecision.MONTH)
    for pattern, year, month in ((_NAME_YEAR, 2, 1), (_YEAR_NAME, 1, 2)):
        if match := pattern.fullmatch(text):
            number = month_number(match[month]) or 0
            return _rough(int(match[year]), number, DatePrecision.MONTH)
    return None


def _rough(year: int, month: int, precision: DatePrecision) -> Hatched | None:
    if not 1 <= month <= 12 or year < FIRST_YEAR:
        return None
    return Hatched(date(year, month, 1), precision)


def settle_order(column: Sequence[Written], said: DayOrder | None) -> DayOrder:
    """Return in which order the days of a column are written.

    An order is possible when every day of the column exists in it. What the column
    does not decide is asked, never guessed.

    Args:
        column: as `read_hatched` returns it.
        said: the order that a person named; it wins.

    Returns:
        `plain` where no day needs an order.

    Raises:
        PedigreeUndecidedError: several orders are possible and mean different days,
            or none is.

    Source:
        ADR 0009: a file is decided as a whole.
    """
    if said is not None:
        return said
    days = tuple(dict.fromkeys(d for d in column if isinstance(d, DateParts)))
    needing = [d for d in days if ORDERS_OF[d.form] != (DayOrder.PLAIN,)]
    heard = [d for d in needing if any(calendar_day(d, o) for o in ORDERS_OF[d.form])]
    if not heard:
        return DayOrder.PLAIN
    open_ = [o for o in _candidates(heard) if all(calendar_day(d, o) for d in heard)]
    meant = {tuple(calendar_day(d, order) for d in heard) for order in open_}
    if len(meant) == 1:
        return open_[0]
    raise PedigreeUndecidedError(
        _question(heard, open_),
        fields={"day_order": ", ".join(_NAMES[o] for o in open_ or _candidates(heard))},
    )


def _candidates(days: Iterable[DateParts]) -> tuple[DayOrder, ...]:
    forms = {day.form for day in days}
    return ORDERS_OF[
        DateForm.SHORT if forms == {DateForm.SHORT} else DateForm.YEAR_LAST
    ]


def _question(heard: Sequence[DateParts], open_: Sequence[DayOrder]) -> str:
    shown = heard[0]
    example = f"{shown.first}/{shown.second}/{shown.third}"
    if open_:
        return (
            f"Is the day or the month first in the hatch dates (such as {example})? "
            "All of them are possible both ways, so nothing was taken. Say the day "
            f"order: {' or '.join(_NAMES[o] for o in open_)}."
        )
    return (
        "Some hatch dates are only possible with the day first, others only with the "
        f"month first (one is {example}), so nothing was taken. Say the day order: "
        f"{' or '.join(_NAMES[o] for o in _candidates(heard))}; dates that do not "
        "exist in it are then left out one by one."
    )


def settled(written: Written, order: DayOrder, *, today: date) -> Hatched | None:
    """Return when an animal hatched, or None where a cell cannot say it.

    Args:
        written: as `read_hatched` returns it.
        order: of the column, as `settle_order` returns it.
        today: the latest local day that has begun anywhere; what is to come and
            what lies before 1900 is no hatch date.
    """
    if not isinstance(written, DateParts):
        hatched = written
    else:
        day = calendar_day(written, order)
        hatched = Hatched(day, DatePrecision.DAY) if day else None
    if hatched is None or hatched.on is None:
        return hatched
    return hatched if hatched.on.year >= FIRST_YEAR and hatched.on <= today else None
