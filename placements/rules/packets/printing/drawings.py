"""The charts of a packet, as values that `core.charts` draws."""

from collections.abc import Iterable
from datetime import date, timedelta
from decimal import Decimal
from itertools import groupby

from core.charts.drawing import draw
from core.charts.scales import date_ticks
from core.charts.values import Area, Band, Chart, Line, Size, Tick
from core.units import MassUnit, from_grams
from husbandry.rules.vocabulary import Quantity
from placements.rules.packets.documents import Document
from placements.rules.packets.histories import ConditionLine
from placements.rules.packets.plans import MassLine
from placements.rules.packets.printing import quantities
from placements.rules.packets.printing.records import Spot, by_spot
from placements.rules.packets.printing.rows import Figure
from placements.rules.packets.printing.speech import Speech

DAYS_BACK = 120
ROOM_TO_GO_ON = timedelta(days=120)
# Two weighings further apart say nothing about the weeks between them.
WEIGHING_GAP_DAYS = 45
MOST_CHARTS = 3


def growth(speech: Speech, document: Document) -> Figure:
    """Draw the weights of the last months, with room to go on by hand."""
    points = document.history.weighings
    recent = [p for p in points if (document.on - p.on).days <= DAYS_BACK]
    first = min([p.on for p in recent], default=document.on) - timedelta(days=3)
    last = document.on + ROOM_TO_GO_ON
    masses = document.plan.masses if document.plan else ()
    chart = Chart(
        title=_growth_title(speech, document),
        description=speech.say(
            "Dots are weighings. The band is what is plausible at its age, which is no "
            "target: within it an animal may still be ill. The right half is left "
            "empty, to go on by hand."
        ),
        unit=_mass_unit(speech).value,
        start=first.toordinal(),
        end=last.toordinal(),
        ticks=_ticks(speech, first, last),
        lines=(
            Line(
                speech.say("weight"),
                tuple((p.on.toordinal(), _mass(speech, p.mass_g)) for p in recent),
                WEIGHING_GAP_DAYS,
                dots=True,
            ),
        ),
        bands=tuple(_mass_band(speech, m, last) for m in masses),
        areas=_mates(speech, document, first),
        size=Size(720, 270),
        empty=speech.say("No weighing yet. Weigh it, and begin here."),
        also=_room(speech, document),
        fine=7,
    )
    return Figure(draw(chart), _mass_caption(speech, document))


def _growth_title(speech: Speech, document: Document) -> str:
    code, points = document.animal.code, document.history.weighings
    if not points:
        return speech.say("Weight of {code}: no weighing is on record.", code=code)
    return speech.say(
        "Weight of {code}: {weighings} on record, last {mass} on {day}.",
        code=code,
        weighings=speech.count("{n} weighing", "{n} weighings", len(points)),
        mass=quantities.mass_both(speech, points[-1].mass_g),
        day=speech.day(points[-1].on),
    )


def _mass_unit(speech: Speech) -> MassUnit:
    return MassUnit.OZ if speech.imperial else MassUnit.G


def _mass(speech: Speech, mass_g: Decimal) -> float:
    return float(from_grams(mass_g, _mass_unit(speech)))


def _ticks(speech: Speech, first: date, last: date) -> tuple[Tick, ...]:
    """Return where the chart names days, in the home's language."""
    ticks = date_ticks(first, last)
    days = [date.fromordinal(int(tick.at)) for tick in ticks]
    by_month = all(on.day == 1 for on in days)
    name = speech.month if by_month else speech.day_of_year
    return tuple(Tick(on.toordinal(), name(on)) for on in days)


def _room(speech: Speech, document: Document) -> tuple[float, ...]:
    """Return the least and greatest weight that the page has to have room for."""
    points = document.history.weighings
    most_g = Decimal("1.6") * points[-1].mass_g if points else Decimal(50)
    return 0, _mass(speech, most_g)


def _mass_band(speech: Speech, mass: MassLine, last: date) -> Band:
    end = mass.until_on + timedelta(days=1) if mass.until_on else last
    return Band(
        mass.from_on.toordinal(),
        end.toordinal(),
        None if mass.low_g is None else _mass(speech, mass.low_g),
        None if mass.high_g is None else _mass(speech, mass.high_g),
        target=False,
    )


def _mates(speech: Speech, document: Document, first: date) -> tuple[Area, ...]:
    """Return what its clutch-mates weighed at the same age, behind its own weights."""
    points = tuple(
        (band.on.toordinal(), _mass(speech, band.low_g), _mass(speech, band.high_g))
        for band in document.history.mates
        if band.on >= first
    )
    return (Area(points),) if points else ()


def _mass_caption(speech: Speech, document: Document) -> str:
    mates = ""
    if document.history.mates:
        mates = speech.say(
            "The darker area: what its clutch-mates weighed at the same age."
        )
    if document.plan is None or not document.plan.masses:
        nothing = speech.say("No plausible weight is on record for its age and sex.")
        return f"{nothing} {mates}".strip()
    bases = dict.fromkeys(speech.standing(m.basis) for m in document.plan.masses)
    band = speech.say(
        "Band: weights plausible at its age, not a target; {bases}.",
        bases="; ".join(bases),
    )
    return f"{band} {mates}".strip()


def conditions(speech: Speech, document: Document) -> tuple[Figure, ...]:
    """Draw the last weeks at the first few spots that were measured."""
    spots = by_spot(document.history.conditions)
    wanted = [
        (spot, lines)
        for spot, lines in spots.items()
        if any(x.low is not None or x.high is not None for x in lines)
    ]
    return tuple(_spot(speech, spot, lines) for spot, lines in wanted[:MOST_CHARTS])


def _spot(speech: Speech, spot: Spot, lines: list[ConditionLine]) -> Figure:
    zone, quantity, period = spot
    first, last = lines[0].on, lines[-1].on + timedelta(days=1)
    where = quantities.spot(speech, quantity, zone, period)
    measured = [x for x in lines if x.mean is not None]

    def line(name: str, values: Iterable[tuple[date, Decimal | None]]) -> Line:
        points = tuple(
            (
                on.toordinal() + 0.5,
                None if value is None else quantities.drawn(speech, value, quantity),
            )
            for on, value in values
        )
        return Line(name, points, gap=1)

    chart = Chart(
        title=speech.say(
            "{where}: {days} measured between {first} and {last}, against the band that "
            "was wanted.",
            where=where,
            days=speech.days(len(measured)),
            first=speech.day(first),
            last=speech.day(lines[-1].on),
        ),
        description=speech.say(
            "Lowest, mean and highest value of each day; gaps are days without data."
        ),
        unit=quantities.unit_of(speech, quantity),
        start=first.toordinal(),
        end=last.toordinal(),
        ticks=_ticks(speech, first, last),
        lines=(
            line(speech.say("mean"), ((x.on, x.mean) for x in lines)),
            line(speech.say("lowest"), ((x.on, x.lowest) for x in lines)),
            line(speech.say("highest"), ((x.on, x.highest) for x in lines)),
        ),
        bands=tuple(_bands(speech, quantity, lines)),
        size=Size(720, 118),
        empty=speech.say("Nothing was measured."),
    )
    return Figure(draw(chart), where)


def _bands(
    speech: Speech, quantity: Quantity, lines: list[ConditionLine]
) -> Iterable[Band]:
    def edge(value: Decimal | None) -> float | None:
        return None if value is None else quantities.drawn(speech, value, quantity)

    for (low, high), run in groupby(lines, key=lambda x: (x.low, x.high)):
        days = [x.on.toordinal() for x in run]
        if low is not None or high is not None:
            yield Band(days[0], days[-1] + 1, edge(low), edge(high))
