"""The small pictures as charts: a day of a probe, the weights of an animal."""

import re
from collections.abc import Iterator, Mapping
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from core.charts import strokes
from core.charts.drawing import draw
from core.charts.scales import clock_ticks, date_ticks
from core.charts.values import Band, Chart, Line, Point, Size, Span, Tick
from core.units import from_celsius, from_grams
from husbandry.queries.pictures import ProbeDay, Wanted
from husbandry.queries.readings import SeriesPoint
from husbandry.rules.overrides import POSSIBLE
from husbandry.rules.profiles.values import WeightBand
from husbandry.rules.sentences import names, numbers
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import Period, Quantity, Zone
from husbandry.rules.weights import WeighingPoint
from staff.units import day

WIDE, NARROW = Size(720, 240), Size(350, 220)
WEIGHTS_BACK = timedelta(days=150)
# Two weighings further apart say nothing about the weeks between them.
WEIGHING_GAP_DAYS = 45
NO_TARGET = "plausible masses, not a target"
# For rooms that are dark at six: the same drawing on a dim ground.
DIM = {
    strokes.INK: "#cfc7b8",
    strokes.MIDDLE: "#857d6e",
    strokes.FAINT: "#4a453c",
    strokes.NIGHT: "#12100d",
    strokes.WANTED: "#2c4233",
    strokes.EDGE: "#86a98c",
    strokes.ALARM: "#ef9a6c",
}


def svg(chart: Chart, *, dim: bool) -> str:
    """Return a chart as an SVG document, by day or for a dim room."""
    text = draw(chart)
    return dimmed(text) if dim else text


def dimmed(drawn: str) -> str:
    """Return a drawing on a dim ground."""
    colours = re.compile("|".join(DIM))
    return colours.sub(lambda found: DIM[found.group()], drawn)


def conditions_chart(
    shown: ProbeDay,
    *,
    evidence: Mapping[str, Any],
    on: date,
    zone: ZoneInfo,
    units: Units,
    size: Size,
) -> Chart:
    """Return the chart of one probe's day with what was wanted and what went wrong.

    Args:
        shown: the day's readings, lights and bands.
        evidence: of the finding; it names the spot and the spell to mark.
        on: the local day.
        zone: of the site.
        units: the units the reader chose.
        size: of the drawing.
    """
    quantity = shown.series.quantity
    start, lights_on, lights_off, end = shown.edges_s
    where = names.ZONES[Zone(evidence["zone"])]
    what = f"{names.sentence(names.QUANTITIES[quantity])} {where}"
    return Chart(
        title=f"{what} on {day(on)}, by the readings of probe {evidence['probe']}.",
        description="The band is what was wanted, the dark ground is the night by the "
        "enclosure's lights, open gaps are times without a reading.",
        unit=unit_of(quantity, units),
        start=start,
        end=end,
        ticks=_hours(start, end, zone, size),
        lines=(Line(what, tuple(_points(shown, units)), gap=end - start),),
        bands=tuple(_bands(shown, units)),
        shades=(Span(start, lights_on), Span(lights_off, end)),
        marks=tuple(_spell(evidence, zone)),
        size=size,
        empty="No reading came in.",
    )


def _hours(start: int, end: int, zone: ZoneInfo, size: Size) -> tuple[Tick, ...]:
    # The tick at the end is the next day's, and half of it would be cut off.
    ticks = [t for t in clock_ticks(start, end, zone=zone) if t.at < end]
    return tuple(ticks if size is WIDE else ticks[::2])


def unit_of(quantity: Quantity, units: Units) -> str:
    """Return what stands at the top of the axis."""
    return {
        Quantity.TEMPERATURE_C: f"°{units.temperature.value}",
        Quantity.HUMIDITY_PCT: "%",
        Quantity.UV_INDEX: "UV index",
    }[quantity]


def _shown(value: Decimal, quantity: Quantity, units: Units) -> float:
    if quantity is Quantity.TEMPERATURE_C:
        value = from_celsius(value, units.temperature)
    return float(value)


def _points(shown: ProbeDay, units: Units) -> Iterator[Point]:
    """Yield the readings; between two runs stands a gap, never to be joined."""
    quantity = shown.series.quantity
    for run in shown.series.runs:
        for at, milli in (pair for span in run for pair in _ends(span)):
            value = Decimal(milli) / 1000
            least, most = POSSIBLE[quantity]
            # What cannot be true was left out of the review; so it is here.
            possible = least <= value <= most
            yield at, _shown(value, quantity, units) if possible else None
        yield run[-1].last_at, None


def _ends(span: SeriesPoint) -> tuple[tuple[int, int], ...]:
    if span.readings == 1:
        return ((span.first_at, span.lowest_milli),)
    return (span.first_at, span.lowest_milli), (span.last_at, span.highest_milli)


def _bands(shown: ProbeDay, units: Units) -> Iterator[Band]:
    start, lights_on, lights_off, end = shown.edges_s
    pieces = {
        Period.DAY: ((lights_on, lights_off),),
        Period.NIGHT: ((start, lights_on), (lights_off, end)),
    }
    for wanted in shown.wanted:
        low, high = (_end(e, shown, units) for e in (wanted.low, wanted.high))
        if low is None and high is None:
            continue
        for first, last in pieces[wanted.period]:
            yield Band(first, last, low, high)


def _end(value: Decimal | None, shown: ProbeDay, units: Units) -> float | None:
    return None if value is None else _shown(value, shown.series.quantity, units)


def _spell(evidence: Mapping[str, Any], zone: ZoneInfo) -> Iterator[Span]:
    for begin, length in (("longest_from", "longest_s"), ("stuck_from", "stuck_s")):
        if evidence.get(begin) and evidence.get(length):
            local = datetime.fromisoformat(evidence[begin]).replace(tzinfo=zone)
            first = local.timestamp()
            seconds = evidence[length]
            yield Span(first, first + seconds, numbers.duration(seconds))


def wanted_by(evidence: Mapping[str, Any]) -> Wanted | None:
    """Return the band that a finding names, or None where it names none."""
    if "period" not in evidence or "low" not in evidence:
        return None
    low, high = (
        None if evidence[end] is None else Decimal(str(evidence[end]))
        for end in ("low", "high")
    )
    return Wanted(Period(evidence["period"]), low, high)


def weights_chart(
    points: tuple[WeighingPoint, ...],
    *,
    name: str,
    on: date,
    zone: ZoneInfo,
    band: WeightBand | None,
    units: Units,
    size: Size,
) -> Chart:
    """Return the chart of an animal's last weighings.

    Args:
        points: in force, oldest first.
        name: the animal's.
        on: the last day shown.
        zone: whose local days count.
        band: masses that are plausible at its age; None: nothing is said.
        units: the units the reader chose.
        size: of the drawing.
    """
    weighed = [(p.at.astimezone(zone).date(), p.mass_g) for p in points]
    recent = [(d, g) for d, g in weighed if on - WEIGHTS_BACK <= d <= on]
    first = min([d for d, _ in recent], default=on - timedelta(days=30))
    first, last = first - timedelta(days=2), on + timedelta(days=2)
    title = f"Weight of {name}: no weighing is on record."
    if recent:
        title = (
            f"Weight of {name}: {len(recent)} weighings since {day(recent[0][0])}, the "
            f"last {numbers.mass(recent[-1][1], units)} on {day(recent[-1][0])}."
        )
    return Chart(
        title=title,
        description="Dots are weighings; the band is what is plausible at its age, "
        "which is no target: within it an animal may still be ill.",
        unit=units.mass.value,
        start=first.toordinal(),
        end=last.toordinal(),
        ticks=date_ticks(first, last, count=8 if size is WIDE else 4),
        lines=(
            Line(
                "weight",
                tuple(
                    (d.toordinal(), float(from_grams(g, units.mass))) for d, g in recent
                ),
                WEIGHING_GAP_DAYS,
                dots=True,
            ),
        ),
        bands=()
        if band is None
        else (
            Band(
                first.toordinal(),
                last.toordinal(),
                float(from_grams(band.low_g, units.mass)),
                float(from_grams(band.high_g, units.mass)),
                target=False,
                name=NO_TARGET,
            ),
        ),
        size=size,
        empty="No weighing yet.",
    )
