"""What was measured in a home's enclosure, drawn with what an animal wants there."""

from collections.abc import Iterator
from datetime import UTC, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import numpy as np

from core.charts.values import Band, Chart, Line, Point, Size, Span, Tick
from core.units import from_celsius
from husbandry.rules.conditions import MISSING, QUANTITIES
from husbandry.rules.overrides import POSSIBLE
from husbandry.rules.profiles.resolving import ResolvedTarget
from husbandry.rules.sentences import names
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import Period, Quantity, Zone
from placements.rules.readiness.values import HomeDay, HomeReadings
from staff.charting import unit_of

SHOWN_DAYS = 7


def spot_chart(
    readings: HomeReadings,
    *,
    zone: Zone,
    quantity: Quantity,
    targets: tuple[ResolvedTarget, ...],
    days: tuple[HomeDay, ...],
    clock: ZoneInfo,
    units: Units,
    size: Size,
) -> Chart | None:
    """Return the chart of one spot's last seven measured days; None: not measured.

    Args:
        readings: of the enclosure.
        zone: the spot.
        quantity: what was measured there.
        targets: of the animal; those of other spots are passed over.
        days: the enclosure's local days, in any order.
        clock: the enclosure's time zone.
        units: the reader's.
        size: of the drawing.
    """
    at, values = _of_spot(readings, zone, quantity)
    shown = _shown_days(at, days)
    if not shown:
        return None
    start, end = shown[0].day.start_s, shown[-1].day.end_s
    inside = (at >= start) & (at < end)
    points = tuple(_points(at[inside], values[inside], quantity, units))
    what = f"{names.sentence(names.QUANTITIES[quantity])} {names.ZONES[zone]}"
    measured = [value for _, value in points if value is not None]
    wanted = [t for t in targets if (t.quantity, t.zone) == (quantity, zone)]
    unit = unit_of(quantity, units)
    title = f"{what}: nothing that can be believed."
    if measured:
        title = (
            f"{what}: {min(measured):.1f} to {max(measured):.1f} {unit} in "
            f"{len(measured)} readings."
        )
    interval_s = readings.interval_s[readings.zones.index(zone)]
    return Chart(
        title=title,
        description="The band is what is wanted, the dark ground is the night by the "
        "enclosure's lights, open gaps are times without a reading.",
        unit=unit,
        start=start,
        end=end,
        ticks=tuple(_ticks(shown, clock)),
        lines=(Line(what, points, gap=3 * interval_s),),
        bands=tuple(_bands(shown, wanted, quantity, units)),
        shades=tuple(_nights(shown)),
        size=size,
    )


def _of_spot(
    readings: HomeReadings, zone: Zone, quantity: Quantity
) -> tuple[np.ndarray, np.ndarray]:
    """Return instants and thousandths in order of time; none where not measured."""
    if zone not in readings.zones:
        return np.empty(0, np.int64), np.empty(0, np.int32)
    values = readings.readings.values[QUANTITIES.index(quantity)]
    there = readings.readings.probe == readings.zones.index(zone)
    there &= values != MISSING
    at = readings.readings.at[there]
    order = np.argsort(at)
    return at[order], values[there][order]


def _shown_days(at: np.ndarray, days: tuple[HomeDay, ...]) -> list[HomeDay]:
    """Return the days from the first to the last one shown, gaps between included."""
    in_order = sorted(days, key=lambda day: day.day.on)
    measured = [
        place
        for place, day in enumerate(in_order)
        if ((at >= day.day.start_s) & (at < day.day.end_s)).any()
    ]
    if not measured:
        return []
    last = measured[-1]
    first = max(measured[0], last - SHOWN_DAYS + 1)
    return in_order[first : last + 1]


def _points(
    at: np.ndarray, values: np.ndarray, quantity: Quantity, units: Units
) -> Iterator[Point]:
    least, most = POSSIBLE[quantity]
    for when, milli in zip(at.tolist(), values.tolist(), strict=True):
        value = Decimal(milli) / 1000
        # What cannot be true is left out of the judgement; so it is here.
        possible = least <= value <= most
        yield when, _shown(value, quantity, units) if possible else None


def _shown(value: Decimal, quantity: Quantity, units: Units) -> float:
    if quantity is Quantity.TEMPERATURE_C:
        value = from_celsius(value, units.temperature)
    return float(value)


def _bands(
    days: list[HomeDay],
    wanted: list[ResolvedTarget],
    quantity: Quantity,
    units: Units,
) -> Iterator[Band]:
    for target in wanted:
        low, high = (
            None if end is None else _shown(end, quantity, units)
            for end in (target.low, target.high)
        )
        if low is None and high is None:
            continue
        for day in days:
            for first, last in _pieces(day, target.period):
                yield Band(first, last, low, high)


def _pieces(day: HomeDay, period: Period) -> tuple[tuple[int, int], ...]:
    on_s, off_s = day.lights.on_s, day.lights.off_s
    if period is Period.DAY:
        return ((on_s, off_s),)
    return (day.day.start_s, on_s), (off_s, day.day.end_s)


def _nights(days: list[HomeDay]) -> Iterator[Span]:
    for day in days:
        for first, last in _pieces(day, Period.NIGHT):
            yield Span(first, last)


def _ticks(days: list[HomeDay], clock: ZoneInfo) -> Iterator[Tick]:
    for day in days:
        local = datetime.fromtimestamp(day.day.start_s, UTC).astimezone(clock)
        yield Tick(day.day.start_s, f"{local:%d %b}".lstrip("0"))
