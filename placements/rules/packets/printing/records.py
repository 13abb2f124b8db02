"""The history pages: stays, weighings, conditions, findings."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from husbandry.rules.vocabulary import Period, Quantity, Urgency, Zone
from placements.rules.packets import words
from placements.rules.packets.histories import (
    ConditionLine,
    FindingLine,
    History,
    StayLine,
)

LAST_WEIGHINGS = 5
MOST_CLOSED = 12
Spot = tuple[Zone, Quantity, Period]


@dataclass(frozen=True, slots=True)
class StayRow:
    """A stay as it is printed."""

    when: str
    where: str
    size: str


@dataclass(frozen=True, slots=True)
class ConditionRow:
    """One spot over the last weeks against its band."""

    spot: str
    wanted: str
    days: str
    covered: str
    mean: str
    lowest: str
    highest: str
    outside: str


@dataclass(frozen=True, slots=True)
class FindingRow:
    """A finding as it is printed."""

    when: str
    urgency: str
    what: str
    first_step: str


def stay_rows(history: History) -> tuple[StayRow, ...]:
    """Return where it lived, oldest first."""
    return tuple(_stay(s) for s in history.stays)


def _stay(stay: StayLine) -> StayRow:
    last = words.day(stay.until_on) if stay.until_on else "still there"
    size = "size not on record"
    if stay.width_cm and stay.depth_cm and stay.height_cm:
        size = words.size_both(stay.width_cm, stay.depth_cm, stay.height_cm)
    return StayRow(
        f"{words.day(stay.from_on)} – {last}",
        f"{stay.enclosure}, {stay.room} ({stay.kind.value.replace('_', ' ')})",
        size,
    )


def weighing_rows(history: History) -> tuple[tuple[str, str, str], ...]:
    """Return the last weighings, newest first: day, mass in both units, change."""
    points = history.weighings
    rows = []
    for index in range(len(points) - 1, max(len(points) - LAST_WEIGHINGS, 0) - 1, -1):
        before = points[index - 1] if index else None
        change = ""
        if before is not None:
            difference = points[index].mass_g - before.mass_g
            sign = "+" if difference > 0 else "−" if difference < 0 else "±"
            days = (points[index].on - before.on).days
            size = words.plain_number(abs(difference))
            change = f"{sign}{size} g in {days} {'day' if days == 1 else 'days'}"
        rows.append(
            (words.day(points[index].on), words.mass_both(points[index].mass_g), change)
        )
    return tuple(rows)


def by_spot(lines: Iterable[ConditionLine]) -> dict[Spot, list[ConditionLine]]:
    """Return the lines of conditions by spot, quantity and part of the day."""
    found: dict[Spot, list[ConditionLine]] = {}
    for line in lines:
        found.setdefault((line.zone, line.quantity, line.period), []).append(line)
    return dict(sorted(found.items(), key=lambda item: _place_in_day(item[0])))


def _place_in_day(spot: Spot) -> tuple[int, Spot]:
    zone, _, period = spot
    return words.place_in_day(zone, period), spot


def condition_rows(history: History) -> tuple[ConditionRow, ...]:
    """Sum up the conditions of the last weeks, one row a spot."""
    return tuple(
        _conditions(spot, lines) for spot, lines in by_spot(history.conditions).items()
    )


def _conditions(spot: Spot, lines: list[ConditionLine]) -> ConditionRow:
    zone, quantity, period = spot
    newest = lines[-1]
    means = [line.mean for line in lines if line.mean is not None]
    outside_h = Decimal(sum(line.outside_minutes for line in lines)) / 60
    banded = newest.low is not None or newest.high is not None
    return ConditionRow(
        spot=words.spot(quantity, zone, period),
        wanted=words.wanted(newest.low, newest.high, quantity) if banded else "no band",
        days=str(len({line.on for line in lines if line.mean is not None})),
        covered=f"{round(sum(line.covered_pct for line in lines) / len(lines))} %",
        mean=_value(sum(means, Decimal(0)) / len(means) if means else None, quantity),
        lowest=_value(_least(line.lowest for line in lines), quantity),
        highest=_value(_greatest(line.highest for line in lines), quantity),
        outside=f"{outside_h:.1f} h" if banded else "–",
    )


def _least(values: Iterable[Decimal | None]) -> Decimal | None:
    return min((v for v in values if v is not None), default=None)


def _greatest(values: Iterable[Decimal | None]) -> Decimal | None:
    return max((v for v in values if v is not None), default=None)


def _value(value: Decimal | None, quantity: Quantity) -> str:
    if value is None:
        return "nothing measured"
    return words.measured(value, quantity)


def findings(history: History, *, still_open: bool) -> tuple[FindingRow, ...]:
    """Return the findings that are open, worst first, or those that are over."""
    order = list(Urgency)
    chosen = [f for f in history.findings if (f.closed_on is None) is still_open]
    if still_open:
        chosen.sort(key=lambda f: (order.index(f.urgency), f.opened_on))
    return tuple(_finding(f) for f in (chosen if still_open else chosen[-MOST_CLOSED:]))


def closed_left_out(history: History) -> int:
    """Return how many findings that are over are not printed, the oldest ones."""
    over = sum(f.closed_on is not None for f in history.findings)
    return max(over - MOST_CLOSED, 0)


def _finding(line: FindingLine) -> FindingRow:
    nights = "1 night" if line.nights == 1 else f"{line.nights} nights"
    if line.closed_on is None:
        when = f"since {words.day(line.opened_on)}, {nights}"
    else:
        when = f"{words.day(line.opened_on)} – {words.day(line.closed_on)}, {nights}"
    return FindingRow(when, line.urgency.value, line.what, line.first_step)
