"""The history pages: stays, weighings, conditions, findings."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from husbandry.rules.vocabulary import EnclosureKind, Period, Quantity, Urgency, Zone
from placements.rules.packets import words
from placements.rules.packets.histories import (
    ConditionLine,
    FindingLine,
    History,
    MassPoint,
    StayLine,
)
from placements.rules.packets.printing import quantities
from placements.rules.packets.printing.care import URGENCY_WORDS
from placements.rules.packets.printing.speech import Speech, word

LAST_WEIGHINGS = 5
MOST_CLOSED = 12
Spot = tuple[Zone, Quantity, Period]
ENCLOSURES = {
    EnclosureKind.SCREEN: word("screen"),
    EnclosureKind.PART_SOLID: word("part solid"),
    EnclosureKind.GLASS: word("glass"),
    EnclosureKind.TUB: word("tub"),
    EnclosureKind.INCUBATOR: word("incubator"),
}


@dataclass(frozen=True, slots=True)
class StayRow:
    """A stay as it is printed."""

    when: str
    where: str
    size: str


@dataclass(frozen=True, slots=True)
class WeighingRow:
    """A weighing as it is printed; `mates` is "" where none were weighed then."""

    on: str
    mass: str
    change: str
    mates: str


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
    """A finding as it is printed; its urgency as a word and as a shape's name."""

    when: str
    urgency: str
    shape: str
    what: str
    first_step: str


def stay_rows(speech: Speech, history: History) -> tuple[StayRow, ...]:
    """Return where it lived, oldest first."""
    return tuple(_stay(speech, s) for s in history.stays)


def _stay(speech: Speech, stay: StayLine) -> StayRow:
    size = speech.say("size not on record")
    if stay.width_cm and stay.depth_cm and stay.height_cm:
        size = quantities.size_both(
            speech, stay.width_cm, stay.depth_cm, stay.height_cm
        )
    kind = speech.say(ENCLOSURES[stay.kind])
    return StayRow(
        until(speech, stay.from_on, stay.until_on, speech.say("still there")),
        f"{stay.enclosure}, {stay.room} ({kind})",
        size,
    )


def until(speech: Speech, first: date, last: date | None, still: str) -> str:
    """Return from when until when; `still` where it has not ended."""
    return speech.say(
        "{first} – {last}",
        first=speech.day(first),
        last=speech.day(last) if last else still,
    )


def weighing_rows(speech: Speech, history: History) -> tuple[WeighingRow, ...]:
    """Return the last weighings, newest first: day, mass in both units, change."""
    points = history.weighings
    first = max(len(points) - LAST_WEIGHINGS, 0)
    mates = {band.on: band for band in history.mates}
    rows = []
    for index in range(len(points) - 1, first - 1, -1):
        point, before = points[index], points[index - 1] if index else None
        band = mates.get(point.on)
        rows.append(
            WeighingRow(
                speech.day(point.on),
                quantities.mass_both(speech, point.mass_g),
                _change(speech, point, before) if before else "",
                f"{quantities.mass_span(speech, band.low_g, band.high_g)} ({band.mates})"
                if band
                else "",
            )
        )
    return tuple(rows)


def _change(speech: Speech, point: MassPoint, before: MassPoint) -> str:
    return speech.say(
        "{change} in {days}",
        change=quantities.mass_change(speech, point.mass_g - before.mass_g),
        days=speech.days((point.on - before.on).days),
    )


def by_spot(lines: Iterable[ConditionLine]) -> dict[Spot, list[ConditionLine]]:
    """Return the lines of conditions by spot, quantity and part of the day."""
    found: dict[Spot, list[ConditionLine]] = {}
    for line in lines:
        found.setdefault((line.zone, line.quantity, line.period), []).append(line)
    return dict(sorted(found.items(), key=lambda item: _place_in_day(item[0])))


def _place_in_day(spot: Spot) -> tuple[int, Spot]:
    zone, _, period = spot
    return words.place_in_day(zone, period), spot


def condition_rows(speech: Speech, history: History) -> tuple[ConditionRow, ...]:
    """Sum up the conditions of the last weeks, one row a spot."""
    return tuple(
        _conditions(speech, spot, lines)
        for spot, lines in by_spot(history.conditions).items()
    )


def _conditions(speech: Speech, spot: Spot, lines: list[ConditionLine]) -> ConditionRow:
    zone, quantity, period = spot
    newest = lines[-1]
    means = [line.mean for line in lines if line.mean is not None]
    outside_h = Decimal(sum(line.outside_minutes for line in lines)) / 60
    banded = newest.low is not None or newest.high is not None

    def value(number: Decimal | None) -> str:
        if number is None:
            return speech.say("nothing measured")
        return quantities.measured(speech, number, quantity)

    return ConditionRow(
        spot=quantities.spot(speech, quantity, zone, period),
        wanted=quantities.wanted(speech, newest.low, newest.high, quantity)
        if banded
        else speech.say("no band"),
        days=str(len({line.on for line in lines if line.mean is not None})),
        covered=f"{round(sum(line.covered_pct for line in lines) / len(lines))} %",
        mean=value(sum(means, Decimal(0)) / len(means) if means else None),
        lowest=value(_least(line.lowest for line in lines)),
        highest=value(_greatest(line.highest for line in lines)),
        outside=f"{outside_h:.1f} h" if banded else "–",
    )


def _least(values: Iterable[Decimal | None]) -> Decimal | None:
    return min((v for v in values if v is not None), default=None)


def _greatest(values: Iterable[Decimal | None]) -> Decimal | None:
    return max((v for v in values if v is not None), default=None)


def findings(
    speech: Speech, history: History, *, still_open: bool
) -> tuple[FindingRow, ...]:
    """Return the findings that are open, worst first, or those that are over."""
    order = list(Urgency)
    chosen = [f for f in history.findings if (f.closed_on is None) is still_open]
    if still_open:
        chosen.sort(key=lambda f: (order.index(f.urgency), f.opened_on))
    shown = chosen if still_open else chosen[-MOST_CLOSED:]
    return tuple(_finding(speech, f) for f in shown)


def closed_left_out(history: History) -> int:
    """Return how many findings that are over are not printed, the oldest ones."""
    over = sum(f.closed_on is not None for f in history.findings)
    return max(over - MOST_CLOSED, 0)


def _finding(speech: Speech, line: FindingLine) -> FindingRow:
    nights = speech.count("{n} night", "{n} nights", line.nights)
    if line.closed_on is None:
        since = speech.say("since {day}", day=speech.day(line.opened_on))
        when = f"{since}, {nights}"
    else:
        when = f"{speech.span(line.opened_on, line.closed_on)}, {nights}"
    return FindingRow(
        when,
        speech.say(URGENCY_WORDS[line.urgency]),
        line.urgency.value,
        line.what,
        line.first_step,
    )
