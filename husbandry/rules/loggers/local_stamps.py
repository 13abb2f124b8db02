"""Stamps placed on the local clock, before any zone is thought of."""

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from husbandry.rules.loggers.clocks import DAY_US, SECOND_US
from husbandry.rules.loggers.dates import calendar_day
from husbandry.rules.loggers.stamps import NONE, Ints, StampColumn, settle_form
from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.vocabulary import DayOrder, Refused, Untrusted, facts

EPOCH_DAY = date(1970, 1, 1).toordinal()


@dataclass(frozen=True, slots=True, eq=False)
class LocalStamps:
    """A column placed on the local clock: seconds since 1970-01-01 00:00 as shown."""

    seconds: Ints
    valid: NDArray[np.bool_]
    offset_s: Ints
    problems: dict[int, Refused]
    """By row number: why a stamp could not be placed."""
    filled: tuple[int, ...] = ()
    """Rows whose missing time was midnight."""


def place(column: StampColumn, order: DayOrder) -> LocalStamps:
    """Place a column of stamps on the local clock.

    Seconds are rounded to the nearest (halves up). A date without a time is
    midnight when it is exactly the midnight between its neighbours, both within a
    day of it; else the row is refused.

    Args:
        column: as read.
        order: the decided order.

    Raises:
        UntrustedFileError: no_times, when more than half of the dates have no time.

    Source:
        House rule, no source; see ADR 0009.
    """
    form = settle_form(column)
    days = np.zeros(len(column.dates) + 1, dtype=np.int64)
    known = np.zeros(len(column.dates) + 1, dtype=bool)
    stray: set[int] = set()
    for number, parts in enumerate(column.dates):
        day = calendar_day(parts, order)
        if parts.form is not form:
            stray.add(number)
        elif day is not None:
            known[number] = True
            days[number] = day.toordinal() - EPOCH_DAY
    # The last place answers for -1: no date.
    dated, timed = known[column.date_of], column.clock_us >= 0
    if (dated & ~timed).sum() * 2 > dated.sum():
        raise UntrustedFileError(Untrusted.NO_TIMES, facts(rows=int(dated.sum())))
    rounded = (column.clock_us + SECOND_US // 2) // SECOND_US
    seconds = days[column.date_of] * 86_400 + np.where(timed, rounded, 0)
    untimed = np.flatnonzero(dated & ~timed)
    filled = _midnights(seconds, np.flatnonzero(dated & timed), untimed)
    valid = dated & timed
    valid[filled] = True
    problems = {
        int(row): _problem(column, int(row), stray) for row in np.flatnonzero(~valid)
    }
    return LocalStamps(seconds, valid, column.offset_s, problems, tuple(filled))


def _problem(column: StampColumn, row: int, stray: set[int]) -> Refused:
    number = int(column.date_of[row])
    if number in stray:
        return Refused.DATE_FORM_DIFFERS
    if number == NONE:
        return Refused.STAMP_UNREADABLE
    if column.clock_us[row] == NONE:
        return Refused.TIME_MISSING
    return Refused.DATE_IMPOSSIBLE


def _midnights(seconds: Ints, timed: Ints, untimed: Ints) -> list[int]:
    """Return the untimed rows that stand for the midnight between their neighbours."""
    if not untimed.size or not timed.size:
        return []
    rising = np.diff(seconds[timed]).sum() >= 0
    filled = []
    for row in untimed:
        place = int(np.searchsorted(timed, row))
        before = seconds[timed[place - 1]] if place else None
        after = seconds[timed[place]] if place < timed.size else None
        earlier, later = (before, after) if rising else (after, before)
        close_after = earlier is None or 0 < seconds[row] - earlier <= 86_400
        close_before = later is None or 0 < later - seconds[row] < 86_400
        if close_after and close_before:
            filled.append(int(row))
    return filled


def roll_over_midnight(column: StampColumn, *, starts_on: date) -> LocalStamps:
    """Place times without a date: each step back of half a day or more is a midnight.

    Args:
        column: as read; dates in it are left aside.
        starts_on: the local day of the first row.

    Returns:
        Rows that step back by less than half a day are refused and do not move the
        clock.
    """
    day_us = (starts_on.toordinal() - EPOCH_DAY) * DAY_US
    seconds = np.zeros(column.clock_us.size, dtype=np.int64)
    problems: dict[int, Refused] = {}
    last = NONE
    for row, us in enumerate(column.clock_us.tolist()):
        if us == NONE:
            problems[row] = Refused.STAMP_UNREADABLE
            continue
        if us < last and last - us < DAY_US // 2:
            problems[row] = Refused.TIME_STEPS_BACK
            continue
        if us < last:
            day_us += DAY_US
        last = us
        seconds[row] = (day_us + us + SECOND_US // 2) // SECOND_US
    valid = np.ones(seconds.size, dtype=bool)
    valid[list(problems)] = False
    return LocalStamps(seconds, valid, column.offset_s, problems)
