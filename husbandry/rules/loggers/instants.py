"""The instant of each row, or the reason why it has none."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from husbandry.rules.loggers.clocks import NO_OFFSET
from husbandry.rules.loggers.dates import DateParts, calendar_day
from husbandry.rules.loggers.local_stamps import (
    LocalStamps,
    place,
    roll_over_midnight,
)
from husbandry.rules.loggers.mapping import Mapping
from husbandry.rules.loggers.numbers import read_number
from husbandry.rules.loggers.remarks import Refusal
from husbandry.rules.loggers.sheet import Sheet
from husbandry.rules.loggers.stamp_columns import stamp_texts
from husbandry.rules.loggers.stamps import (
    Ints,
    orders_of,
    read_stamps,
    written,
)
from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.vocabulary import (
    ClockForm,
    DayOrder,
    Facts,
    Refused,
    Untrusted,
    facts,
)
from husbandry.rules.loggers.zones import find_zone, to_instants

Flags = NDArray[np.bool_]

EARLIEST = datetime(1990, 1, 1, tzinfo=UTC)
"""Before it a logger's clock was not set. House rule, no source."""
FUTURE_TOLERANCE_S = 300
"""So far a logger's clock may be ahead of ours. House rule, no source."""
SERIAL_EPOCH_DAYS = 25_569
"""1970-01-01 in days since 1899-12-30."""


@dataclass(frozen=True, slots=True, eq=False)
class RowInstants:
    """Each row's epoch second."""

    at: Ints
    valid: Flags
    refused: dict[int, Refusal]
    """By row number."""
    filled: tuple[int, ...]
    resolved: tuple[int, ...]
    without_offset: int
    """Rows whose instant rests on the zone and not on the stamp itself."""


def read_instants(
    sheet: Sheet,
    mapping: Mapping,
    *,
    usable: Flags,
    site_zone: ZoneInfo,
    until: datetime,
    starts_on: date | None,
) -> RowInstants:
    """Return the instant of every usable row.

    Args:
        sheet: the file.
        mapping: decided.
        usable: rows to look at; events are not.
        site_zone: what the zone `site` means.
        until: the present, aware.
        starts_on: the first row's local day, for times without dates.

    Raises:
        UntrustedFileError: what the column of stamps as a whole is refused for.
    """
    texts = stamp_texts(sheet, mapping.stamp_columns)
    texts = [text if use else "" for text, use in zip(texts, usable, strict=True)]
    local = _local(texts, mapping, starts_on=starts_on)
    zone = find_zone(mapping.zone, site_zone=site_zone)
    if zone is None:
        raise UntrustedFileError(Untrusted.MAPPING_UNDECIDED, facts(parts="zone"))
    found = to_instants(local, zone, series=_series(sheet, mapping))
    valid = found.valid & usable
    problems: dict[int, tuple[Refused, Facts]] = {
        row: (reason, ()) for row, reason in local.problems.items() if usable[row]
    }
    problems |= {row: why for row, why in found.problems.items() if usable[row]}
    latest = int(until.timestamp()) + FUTURE_TOLERANCE_S
    for row in np.flatnonzero(valid & (found.at > latest)).tolist():
        problems[row] = (Refused.IN_FUTURE, facts(until=f"{until:%Y-%m-%d %H:%M %Z}"))
    for row in np.flatnonzero(valid & (found.at < EARLIEST.timestamp())).tolist():
        problems[row] = (Refused.TOO_EARLY, facts(earliest=EARLIEST.date()))
    valid[list(problems)] = False
    asking = valid & (local.offset_s == NO_OFFSET)
    return RowInstants(
        found.at,
        valid,
        {row: _refusal(sheet, row, texts[row], why) for row, why in problems.items()},
        local.filled,
        found.resolved,
        int(asking.sum()),
    )


def _refusal(sheet: Sheet, row: int, text: str, why: tuple[Refused, Facts]) -> Refusal:
    reason, named = why
    if not text:
        reason = Refused.STAMP_MISSING
    return Refusal(sheet.lines[row], "", text[:120], reason, named)


def _series(sheet: Sheet, mapping: Mapping) -> Iterable[Ints]:
    """Return the row numbers of each channel."""
    rows = np.arange(len(sheet.rows), dtype=np.int64)
    if mapping.channel_column is None:
        return [rows]
    names = np.array(sheet.column(mapping.channel_column), dtype=object)
    return [rows[names == name] for name in dict.fromkeys(names.tolist())]


def _local(
    texts: list[str], mapping: Mapping, *, starts_on: date | None
) -> LocalStamps:
    if mapping.clock in (ClockForm.EPOCH_S, ClockForm.EPOCH_MS, ClockForm.SERIAL):
        return _counted(texts, mapping)
    column = read_stamps(texts)
    if mapping.clock is ClockForm.TIME_ONLY:
        if starts_on is None:
            raise UntrustedFileError(Untrusted.START_DATE_MISSING)
        return roll_over_midnight(column, starts_on=starts_on)
    orders = orders_of(column)
    order = mapping.day_order or DayOrder.PLAIN
    if order not in orders and orders != (DayOrder.PLAIN,):
        if len(orders) > 1:
            raise UntrustedFileError(
                Untrusted.MAPPING_UNDECIDED, facts(parts="day_order")
            )
        _check_same_days(column.dates, order, orders[0])
    return place(column, order)


def _check_same_days(
    dates: tuple[DateParts, ...], order: DayOrder, possible: DayOrder
) -> None:
    """Refuse a day order that the column excludes; 3/3/2024 excludes none."""
    for parts in dates:
        if calendar_day(parts, order) != calendar_day(parts, possible):
            raise UntrustedFileError(
                Untrusted.DAY_ORDER_IMPOSSIBLE,
                facts(value=written(parts), order=order, possible=possible),
            )


def _counted(texts: list[str], mapping: Mapping) -> LocalStamps:
    """Place counts of seconds, milliseconds or days."""
    seconds = np.zeros(len(texts), dtype=np.int64)
    problems: dict[int, Refused] = {}
    for row, text in enumerate(texts):
        count = _count(text)
        if count is None:
            problems[row] = Refused.STAMP_UNREADABLE
        elif mapping.clock is ClockForm.SERIAL:
            seconds[row] = round((count - SERIAL_EPOCH_DAYS) * 86_400)
        else:
            per_second = 1000 if mapping.clock is ClockForm.EPOCH_MS else 1
            seconds[row] = round(count / per_second)
    valid = np.ones(len(texts), dtype=bool)
    valid[list(problems)] = False
    is_utc = mapping.clock is not ClockForm.SERIAL
    offset_s = np.full(len(texts), 0 if is_utc else NO_OFFSET, dtype=np.int64)
    return LocalStamps(seconds, valid, offset_s, problems)


def _count(text: str) -> Decimal | None:
    """Return the sum of the numbers in a text: whole days and a fraction of one."""
    numbers = [read_number(part) for part in text.split()]
    if not numbers or None in numbers:
        return None
    total = sum((number.value for number in numbers if number), Decimal(0))
    return total if abs(total) < 10**14 else None
