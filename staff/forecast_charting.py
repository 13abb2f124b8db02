"""How a clutch's window moved night by night, and how warm its eggs were."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import groupby
from math import isfinite, nan

from clutches.models import Clutch, Forecast
from clutches.queries.forecasts import Course
from core.charts.scales import date_ticks
from core.charts.values import (
    Area,
    Band,
    Chart,
    Flag,
    Line,
    Look,
    Point,
    Size,
    Tick,
)
from core.units import from_celsius
from husbandry.rules.sentences.numbers import Units
from staff.units import day

WIDE, NARROW = Size(720, 280), Size(350, 260)
ROOM_DAYS = 7
DAY_HOURS = 24
# Nights further apart were not reviewed between; the window then is not known.
NIGHTS_APART = 3


@dataclass(frozen=True, slots=True)
class Frame:
    """From which day to which both charts reach, as ordinals."""

    start: int
    end: int

    def ticks(self, size: Size) -> tuple[Tick, ...]:
        """Return ticks at days of the calendar."""
        first, last = date.fromordinal(self.start), date.fromordinal(self.end)
        most = 8 if size.width == WIDE.width else 4
        # A name at the very end would be cut off.
        edge = self.end - (self.end - self.start) / (2 * most)
        return tuple(
            tick for tick in date_ticks(first, last, count=most) if tick.at <= edge
        )


def frame_of(clutch: Clutch, course: Course) -> Frame:
    """Return the days that both charts of a clutch show: laying to the last window."""
    last = max([course.on, *course.hatched_on, *(f.latest_on for f in _newest(course))])
    return Frame(clutch.laid_on.toordinal(), last.toordinal() + ROOM_DAYS)


def window_chart(clutch: Clutch, course: Course, *, size: Size) -> Chart:
    """Return how the window moved, against how old the eggs are.

    Up is days since laying, across is the calendar. The band is the window as each
    night told it; the line is the eggs' age, dashed where it is still to come: where
    it meets the band, hatching is expected.

    Args:
        clutch: which.
        course: what was forecast of it.
        size: of the drawing.
    """
    frame, laid = frame_of(clutch, course), clutch.laid_on.toordinal()
    return Chart(
        title=_title(clutch, course),
        description="The band is the window as each night told it, in days since "
        "laying, and after today as the newest one did. The line is how old the eggs are, dashed where that is to come: "
        "where it meets the band, hatching is expected. Strokes at the foot are days "
        "on which eggs hatched.",
        unit="days since laying",
        start=frame.start,
        end=frame.end,
        ticks=frame.ticks(size),
        lines=tuple(_ages(course, frame, laid)),
        areas=tuple(_windows(course, frame, laid)),
        flags=tuple(_moments(course)),
        size=size,
    )


def warmth_chart(clutch: Clutch, course: Course, *, units: Units, size: Size) -> Chart:
    """Return how warm the eggs were, hour by hour, with the band that was wanted.

    Args:
        clutch: which.
        course: its track and its plan.
        units: the units the reader chose.
        size: of the drawing.
    """
    frame = frame_of(clutch, course)
    return Chart(
        title=f"Temperature where the eggs of {clutch} lay, hour by hour since "
        f"{day(clutch.laid_on)}.",
        description="The band is what was wanted, phase by phase; open gaps are hours "
        "that nobody measured.",
        unit=f"°{units.temperature.value}",
        start=frame.start,
        end=frame.end,
        ticks=frame.ticks(size),
        lines=(warmth_line(clutch, course, units),),
        bands=tuple(_wanted(clutch, course, frame, units)),
        flags=tuple(_moments(course)),
        size=size,
        empty="Nobody measured where the eggs lay.",
    )


def warmth_line(clutch: Clutch, course: Course, units: Units) -> Line:
    """Return the temperature of each hour at its place in the calendar."""
    laid = clutch.laid_on.toordinal()
    points: list[Point] = [
        (laid + hour / DAY_HOURS, _shown(celsius, units))
        for hour, celsius in enumerate(course.track.hours_c.tolist())
    ]
    return Line("temperature", tuple(points), gap=1.5 / DAY_HOURS)


def _title(clutch: Clutch, course: Course) -> str:
    newest = _newest(course)
    if not newest:
        return f"Hatch window of {clutch}: no night has told one yet."
    told = "; ".join(
        f"box {row.box}: {day(row.earliest_on)} to {day(row.latest_on)}"
        for row in newest
    )
    return f"Hatch window of {clutch} as each night told it; the newest, {told}."


def _newest(course: Course) -> tuple[Forecast, ...]:
    newest = {row.box_id: row for row in course.forecasts}
    return tuple(newest.values())


def _ages(course: Course, frame: Frame, laid: int) -> Iterator[Line]:
    now = max(course.on.toordinal(), frame.start)
    whole = frame.end - frame.start
    yield Line("age", ((laid, 0), (now, now - laid)), gap=whole)
    yield Line(
        "to come",
        ((now, now - laid), (frame.end, frame.end - laid)),
        gap=whole,
        look=Look.BEYOND,
    )


def _windows(course: Course, frame: Frame, laid: int) -> Iterator[Area]:
    boxes = groupby(course.forecasts, key=lambda row: row.box_id)
    several = len(_newest(course)) > 1
    for _, rows in boxes:
        found = list(rows)
        # What the newest night told holds until the next one tells otherwise.
        held = (
            frame.end
            if found[-1].latest_on >= course.on
            else found[-1].on.toordinal() + 1
        )
        name = f"box {found[0].box}" if several else "window"
        for number, run in enumerate(_runs(found)):
            end = held if run[-1] is found[-1] else run[-1].on.toordinal() + 1
            points = [_edges(row, row.on.toordinal(), laid) for row in run]
            points.append(_edges(run[-1], min(end, frame.end), laid))
            yield Area(tuple(points), "" if number else name)


def _runs(rows: Sequence[Forecast]) -> Iterator[list[Forecast]]:
    run: list[Forecast] = []
    for row in rows:
        if run and (row.on - run[-1].on).days > NIGHTS_APART:
            yield run
            run = []
        run.append(row)
    yield run


def _edges(row: Forecast, at: int, laid: int) -> tuple[float, float, float]:
    early, late = row.earliest_on.toordinal(), row.latest_on.toordinal()
    return at, early - laid, late - laid


def _moments(course: Course) -> Iterator[Flag]:
    yield Flag(course.on.toordinal(), "today")
    yield from (Flag(on.toordinal()) for on in sorted(set(course.hatched_on)))


def _wanted(
    clutch: Clutch, course: Course, frame: Frame, units: Units
) -> Iterator[Band]:
    if course.plan is None:
        return
    begin = clutch.laid_on.toordinal()
    for phase in course.plan.phases:
        end = frame.end if phase.days is None else begin + phase.days
        low = min(phase.day_low_c, phase.night_low_c)
        high = max(phase.day_high_c, phase.night_high_c)
        if begin < frame.end:
            yield Band(
                begin, min(end, frame.end), _shown(low, units), _shown(high, units)
            )
        begin = end


def _shown(celsius: Decimal | float, units: Units) -> float:
    if not isfinite(celsius):
        return nan  # a gap stays one
    return float(from_celsius(Decimal(str(celsius)), units.temperature))
