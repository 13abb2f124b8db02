"""From values to places in the drawing, and where the ticks stand."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from math import ceil, floor, isfinite, log10
from zoneinfo import ZoneInfo

from core.charts.values import Chart, Tick

HOUR_S = 3600
HEIGHT_PER_STEP = 50
MONTHS = (
    *("Jan", "Feb", "Mar", "Apr", "May", "Jun"),
    *("Jul", "Aug", "Sep", "Oct", "Nov", "Dec"),
)


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight line from values to places: `first` maps to `begin`."""

    first: float
    last: float
    begin: float
    finish: float

    def place(self, value: float) -> float:
        """Return where a value stands, in drawing units."""
        share = (value - self.first) / (self.last - self.first)
        return self.begin + share * (self.finish - self.begin)


@dataclass(frozen=True, slots=True)
class Axis:
    """Bottom, top and step of an axis whose ticks are round numbers."""

    bottom: float
    top: float
    step: float

    def ticks(self) -> tuple[float, ...]:
        """Return the round values from bottom to top."""
        count = round((self.top - self.bottom) / self.step)
        return tuple(self.bottom + i * self.step for i in range(count + 1))


def round_axis(low: float, high: float, *, steps: int = 5) -> Axis:
    """Return an axis of round numbers (1, 2 or 5 times a power of ten) around values.

    Args:
        low: least value; may equal `high`, then the axis opens one unit around it.
        high: greatest value, not below `low`.
        steps: about how many steps are wanted.
    """
    if high - low < 1e-9 * max(1.0, abs(high)):
        low, high = low - 1, high + 1
    rough = (high - low) / steps
    power = 10.0 ** floor(log10(rough))
    step = next(m * power for m in (1, 2, 5, 10) if m * power >= rough * (1 - 1e-9))
    return Axis(floor(low / step + 1e-9) * step, ceil(high / step - 1e-9) * step, step)


def value_axis(chart: Chart) -> Axis:
    """Return the y axis that holds every measured and wanted value of a chart."""
    found = [*_measured(chart), *_wanted(chart), *chart.also]
    if not found:
        return Axis(0, 1, 1)
    steps = max(round(chart.size.height / HEIGHT_PER_STEP), 2)
    return round_axis(min(found), max(found), steps=steps)


def _measured(chart: Chart) -> Iterable[float]:
    for line in chart.lines:
        for x, value in line.points:
            if value is not None and isfinite(value) and chart.start <= x <= chart.end:
                yield value


def _wanted(chart: Chart) -> Iterable[float]:
    for band in chart.bands:
        if band.end > chart.start and band.start < chart.end:
            yield from (v for v in (band.low, band.high) if v is not None)
    for area in chart.areas:
        for x, low, high in area.points:
            if chart.start <= x <= chart.end:
                yield from (low, high)


def clock_ticks(start_s: int, end_s: int, *, zone: ZoneInfo) -> tuple[Tick, ...]:
    """Return ticks at local clock times: hours within two days, dates beyond.

    Args:
        start_s: first epoch second of the drawing.
        end_s: last epoch second.
        zone: whose clock it is; on a day of 23 or 25 hours the ticks still stand
            at the hours that the clock on the wall showed.
    """
    days = (end_s - start_s) / (24 * HOUR_S)
    if days > 2.1:
        first = datetime.fromtimestamp(start_s, tz=zone).date()
        last = datetime.fromtimestamp(end_s, tz=zone).date()
        return tuple(
            Tick(at, tick.name)
            for tick in date_ticks(first, last)
            if start_s <= (at := _midnight_s(int(tick.at), zone)) <= end_s
        )
    hours = 3 if days <= 1.1 else 6
    ticks = []
    on = datetime.fromtimestamp(start_s, tz=zone).date()
    while (at := _midnight_s(on.toordinal(), zone)) <= end_s:
        for hour in range(0, 24, hours):
            local = datetime.combine(on, time(hour), tzinfo=zone)
            at = int(local.astimezone(UTC).timestamp())
            if start_s <= at <= end_s:
                ticks.append(Tick(at, day_name(on) if hour == 0 else f"{hour:02}:00"))
        on += timedelta(days=1)
    return tuple(ticks)


def _midnight_s(ordinal: int, zone: ZoneInfo) -> int:
    midnight = datetime.combine(date.fromordinal(ordinal), time.min, tzinfo=zone)
    return int(midnight.timestamp())


def date_ticks(first: date, last: date, *, count: int = 8) -> tuple[Tick, ...]:
    """Return at most about `count` ticks at days, weeks or first days of months."""
    days = max((last - first).days, 1)
    for step in (1, 2, 7, 14):
        if days / step <= count:
            ordinals = range(first.toordinal(), last.toordinal() + 1, step)
            return tuple(Tick(o, day_name(date.fromordinal(o))) for o in ordinals)
    months = next(
        m for m in (1, 2, 3, 6, 12, 24, 60, 1200) if days / (30.4 * m) <= count
    )
    number = first.year * 12 + first.month - 1
    number += -number % months
    ticks = []
    while (on := date(number // 12, number % 12 + 1, 1)) <= last:
        if on >= first:
            ticks.append(Tick(on.toordinal(), f"{MONTHS[on.month - 1]} {on.year}"))
        number += months
    return tuple(ticks)


def day_name(on: date) -> str:
    """Return a day as it stands on an axis: `12 Mar`."""
    return f"{on.day} {MONTHS[on.month - 1]}"
