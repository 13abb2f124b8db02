"""How an animal grows, as a chart: by its age where that is known to the day."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

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
    Span,
    Tick,
)
from core.units import from_grams
from husbandry.rules.growth.fits import Fit
from husbandry.rules.growth.pictures import Growth
from husbandry.rules.growth.projecting import masses_at
from husbandry.rules.growth.recorded import Aged
from husbandry.rules.growth.references import lms_at, value_at_z
from husbandry.rules.sentences import numbers
from husbandry.rules.sentences.numbers import Units
from staff.charting import NO_TARGET, WEIGHING_GAP_DAYS
from staff.units import count, day

WIDE, NARROW = Size(720, 320), Size(350, 280)
STEPS = 60
# About the 3rd and the 97th centile of a normal distribution.
CENTILE_Z = 1.881
CENTILES = "3rd to 97th centile"
TICK_DAYS = (7, 14, 30, 60, 90, 180, 360, 720, 1440, 2880)
# A band whose end is further off than this would press the weights flat.
FAR = 1.6


@dataclass(frozen=True, slots=True)
class Frame:
    """From which day to which is drawn, as ordinals, and in which unit."""

    start: int
    end: int
    units: Units

    def mass(self, grams: float | Decimal) -> float:
        """Return a mass in the reader's unit."""
        return float(from_grams(Decimal(str(grams)), self.units.mass))


def growth_chart(growth: Growth, *, units: Units, size: Size) -> Chart:
    """Return the chart of an animal's growth.

    The weighings stand at their days; clutch-mates stand at the day on which the
    animal had their age. The fitted curve is drawn within the weighings, and dashed
    beyond them only where its asymptote is supported.

    Args:
        growth: of one animal.
        units: the units the reader chose.
        size: of the drawing.
    """
    frame = _frame(growth, units)
    areas = tuple(_centiles(growth, frame))
    return Chart(
        title=_title(growth, units),
        description="Dots are its weighings, thin lines its clutch-mates at the same "
        "age. The smooth line is a curve fitted to the weighings, dashed beyond them. "
        "The band behind is no target: within it an animal may still be ill.",
        unit=units.mass.value,
        start=frame.start,
        end=frame.end,
        ticks=_ticks(growth, frame, size),
        lines=(
            *_mates(growth, frame),
            *_curve(growth, frame),
            Line(
                "weight",
                _points(growth.weighings, None, frame),
                WEIGHING_GAP_DAYS,
                dots=True,
            ),
        ),
        bands=() if areas else tuple(_bands(growth, frame)),
        areas=areas,
        shades=tuple(
            Span(
                spell.from_on.toordinal(),
                (spell.until_on or growth.on).toordinal() + 1,
                "gravid",
            )
            for spell in growth.record.gravid
        ),
        flags=(
            *(Flag(on.toordinal(), "laid") for on in growth.record.laid_on),
            *(Flag(on.toordinal()) for on in growth.record.shed_on),
        ),
        size=size,
        empty="No weighing yet.",
    )


def _title(growth: Growth, units: Units) -> str:
    label = growth.record.animal.label
    if not growth.weighings:
        return f"Growth of {label}: no weighing is on record."
    first, last = growth.weighings[0], growth.weighings[-1]
    many = count(len(growth.weighings), "weighing")
    return (
        f"Growth of {label}: {many} since {day(first.on)}, the last "
        f"{numbers.mass(last.mass_g, units)} on {day(last.on)}."
    )


def _frame(growth: Growth, units: Units) -> Frame:
    days = [w.on.toordinal() for w in growth.weighings] or [growth.on.toordinal()]
    last = max(days[-1], growth.on.toordinal() if growth.record.animal.in_care else 0)
    room = max(3, (last - days[0]) // 12)
    return Frame(days[0] - 2, last + room, units)


def _hatched(growth: Growth) -> int | None:
    hatched_on = growth.record.animal.hatched_on
    return hatched_on.toordinal() if hatched_on else None


def _ticks(growth: Growth, frame: Frame, size: Size) -> tuple[Tick, ...]:
    most = 8 if size is WIDE else 4
    hatched = _hatched(growth)
    if hatched is None:
        first, last = date.fromordinal(frame.start), date.fromordinal(frame.end)
        return date_ticks(first, last, count=most)
    span = frame.end - frame.start
    step = next((s for s in TICK_DAYS if span / s <= most), TICK_DAYS[-1])
    begin = -((hatched - frame.start) // step) * step
    ages = range(begin, frame.end - hatched + 1, step)
    return tuple(Tick(hatched + age, f"{age} d") for age in ages if age >= 0)


def _points(
    weighings: Iterable[Aged], hatched: int | None, frame: Frame
) -> tuple[Point, ...]:
    """Return weighings at their days, or at an age counted from a day of hatching."""
    return tuple(
        (
            w.on.toordinal() if hatched is None else hatched + (w.age_days or 0),
            frame.mass(w.mass_g),
        )
        for w in weighings
    )


def _mates(growth: Growth, frame: Frame) -> Iterator[Line]:
    hatched = _hatched(growth)
    for mate in growth.siblings:
        points = _points(mate.weighings, hatched, frame)
        yield Line(mate.animal.label, points, WEIGHING_GAP_DAYS, look=Look.OTHERS)


def _curve(growth: Growth, frame: Frame) -> Iterator[Line]:
    hatched = _hatched(growth)
    best = growth.choice.best if growth.choice else None
    if best is None or hatched is None:
        return
    last = best.last_age_days
    yield _curve_between(best, best.first_age_days, last, hatched, frame, Look.CURVE)
    if best.asymptote_supported:
        end = frame.end - hatched
        yield _curve_between(best, last, end, hatched, frame, Look.BEYOND)


def _curve_between(
    fit: Fit, first: float, last: float, hatched: int, frame: Frame, look: Look
) -> Line:
    ages = [first + (last - first) * step / STEPS for step in range(STEPS + 1)]
    points = tuple(
        (
            hatched + estimate.age_days,
            None if estimate.mass_g is None else frame.mass(estimate.mass_g),
        )
        for estimate in masses_at(fit, ages)
    )
    return Line("curve", points, gap=frame.end - frame.start, look=look)


def _bands(growth: Growth, frame: Frame) -> Iterator[Band]:
    """Yield the plausible masses by age; the words stand in the widest of them."""
    hatched = _hatched(growth)
    if hatched is None:
        return
    most_g = max([float(w.mass_g) for w in growth.weighings], default=0.0)
    found = []
    for row in growth.bands:
        start = max(hatched + row.from_days, frame.start)
        end = frame.end if row.to_days is None else hatched + row.to_days
        end = min(end, frame.end)
        if start < end:
            far = bool(most_g) and float(row.band.high_g) > FAR * most_g
            high = None if far else frame.mass(row.band.high_g)
            found.append((start, end, frame.mass(row.band.low_g), high))
    widest = max(found, key=lambda b: b[1] - b[0], default=None)
    for band in found:
        name = NO_TARGET if band is widest else ""
        yield Band(*band, target=False, name=name)


def _centiles(growth: Growth, frame: Frame) -> Iterator[Area]:
    hatched = _hatched(growth)
    if growth.reference is None or hatched is None:
        return
    points = []
    for step in range(STEPS + 1):
        x = frame.start + (frame.end - frame.start) * step / STEPS
        lms = lms_at(growth.reference.reference, age_days=x - hatched)
        low = value_at_z(-CENTILE_Z, lms) if lms else None
        high = value_at_z(CENTILE_Z, lms) if lms else None
        if low is not None and high is not None:
            points.append((x, frame.mass(low), frame.mass(high)))
    yield Area(tuple(points), CENTILES)
