"""The charts of a packet, as values that `core.charts` draws."""

from collections.abc import Iterable
from datetime import date, timedelta
from itertools import groupby

from core.charts.drawing import draw
from core.charts.scales import date_ticks
from core.charts.values import Band, Chart, Line, Size
from husbandry.rules.vocabulary import Quantity
from placements.rules.packets import words
from placements.rules.packets.documents import Document
from placements.rules.packets.histories import ConditionLine
from placements.rules.packets.plans import CarePlan, MassLine
from placements.rules.packets.printing.care import standing
from placements.rules.packets.printing.records import Spot, by_spot
from placements.rules.packets.printing.rows import Figure

DAYS_BACK = 120
ROOM_TO_GO_ON = timedelta(days=120)
# Two weighings further apart say nothing about the weeks between them.
WEIGHING_GAP_DAYS = 45
MOST_CHARTS = 3
UNITS = {
    Quantity.TEMPERATURE_C: "°C",
    Quantity.HUMIDITY_PCT: "%",
    Quantity.UV_INDEX: "UV index",
}


def growth(document: Document) -> Figure:
    """Draw the weights of the last months, with room to go on by hand."""
    points = document.history.weighings
    recent = [p for p in points if (document.on - p.on).days <= DAYS_BACK]
    first = min([p.on for p in recent], default=document.on) - timedelta(days=3)
    last = document.on + ROOM_TO_GO_ON
    masses = document.plan.masses if document.plan else ()
    title = f"Weight of {document.animal.code}: no weighing is on record."
    if points:
        title = (
            f"Weight of {document.animal.code}: {len(points)} weighings on record, "
            f"last {words.plain_number(points[-1].mass_g)} g on "
            f"{words.day(points[-1].on)}."
        )
    chart = Chart(
        title=title,
        description="Dots are weighings. The band is what is plausible at its age, "
        "which is no target: within it an animal may still be ill. The right half is "
        "left empty, to go on by hand.",
        unit="g",
        start=first.toordinal(),
        end=last.toordinal(),
        ticks=date_ticks(first, last),
        lines=(
            Line(
                "weight",
                tuple((p.on.toordinal(), float(p.mass_g)) for p in recent),
                WEIGHING_GAP_DAYS,
                dots=True,
            ),
        ),
        bands=tuple(_mass_band(m, last) for m in masses),
        size=Size(720, 270),
        empty="No weighing yet. Weigh it, and begin here.",
        also=_room(document),
        fine=7,
    )
    return Figure(draw(chart), _mass_caption(document.plan))


def _room(document: Document) -> tuple[float, ...]:
    """Return the least and greatest weight that the page has to have room for."""
    points = document.history.weighings
    return (0, 1.6 * float(points[-1].mass_g)) if points else (0, 50)


def _mass_band(mass: MassLine, last: date) -> Band:
    end = mass.until_on + timedelta(days=1) if mass.until_on else last
    return Band(
        mass.from_on.toordinal(),
        end.toordinal(),
        None if mass.low_g is None else float(mass.low_g),
        None if mass.high_g is None else float(mass.high_g),
        target=False,
    )


def _mass_caption(plan: CarePlan | None) -> str:
    if plan is None or not plan.masses:
        return "No plausible weight is on record for its age and sex."
    bases = dict.fromkeys(standing(m.basis) for m in plan.masses)
    return f"Band: weights plausible at its age, not a target; {'; '.join(bases)}."


def conditions(document: Document) -> tuple[Figure, ...]:
    """Draw the last weeks at the first few spots that were measured."""
    spots = by_spot(document.history.conditions)
    wanted = [
        (spot, lines)
        for spot, lines in spots.items()
        if any(x.low is not None or x.high is not None for x in lines)
    ]
    return tuple(_spot(spot, lines) for spot, lines in wanted[:MOST_CHARTS])


def _spot(spot: Spot, lines: list[ConditionLine]) -> Figure:
    zone, quantity, period = spot
    first, last = lines[0].on, lines[-1].on + timedelta(days=1)
    where = words.spot(quantity, zone, period)
    measured = [x for x in lines if x.mean is not None]
    chart = Chart(
        title=f"{where}: {len(measured)} days measured between {words.day(first)} and "
        f"{words.day(lines[-1].on)}, against the band that was wanted.",
        description="Lowest, mean and highest value of each day; gaps are days "
        "without data.",
        unit=UNITS[quantity],
        start=first.toordinal(),
        end=last.toordinal(),
        ticks=date_ticks(first, last),
        lines=(
            _line("mean", ((x.on, x.mean) for x in lines)),
            _line("lowest", ((x.on, x.lowest) for x in lines)),
            _line("highest", ((x.on, x.highest) for x in lines)),
        ),
        bands=tuple(_bands(lines)),
        size=Size(720, 118),
    )
    return Figure(draw(chart), where)


def _line(name: str, values: Iterable[tuple[date, object]]) -> Line:
    points = tuple(
        (on.toordinal() + 0.5, None if value is None else float(str(value)))
        for on, value in values
    )
    return Line(name, points, gap=1)


def _bands(lines: list[ConditionLine]) -> Iterable[Band]:
    for (low, high), run in groupby(lines, key=lambda x: (x.low, x.high)):
        days = [x.on.toordinal() for x in run]
        if low is not None or high is not None:
            yield Band(
                days[0],
                days[-1] + 1,
                None if low is None else float(low),
                None if high is None else float(high),
            )
