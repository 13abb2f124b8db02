"""The same sums, worked out second by second: slow, plain, and made otherwise."""

from collections.abc import Callable, Sequence
from itertools import groupby
from typing import NamedTuple

from husbandry.rules.conditions import MISSING, NightPlan, Readings
from husbandry.rules.conditions.values import BELIEVED_MILLI

Row = dict[str, int]
Second = int | None


class Spell(NamedTuple):
    """An unbroken run of seconds of one kind."""

    length: int
    start: int


def sum_up(readings: Readings, plan: NightPlan) -> list[Row]:
    """Return what `summarise` returns, as a list of rows."""
    bands = plan.bands
    rows = []
    for index in range(len(bands)):
        probe, quantity = int(bands.probe[index]), int(bands.quantity[index])
        for period in range(2):
            limits = (
                int(bands.low_milli[index, period]),
                int(bands.high_milli[index, period]),
            )
            row = {
                "probe": probe,
                "quantity": quantity,
                "band": int(bands.band[index]),
                "period": period,
                "low_milli": limits[0],
                "high_milli": limits[1],
            }
            rows.append(row | _sums(readings, plan, probe, quantity, period, limits))
    return rows


def _readings(readings: Readings, probe: int, quantity: int) -> dict[int, int]:
    """Return the probe's measured values by instant, in order of time."""
    found = {
        int(at): int(value)
        for which, at, value in zip(
            readings.probe, readings.at, readings.values[quantity], strict=True
        )
        if which == probe and value != MISSING
    }
    return dict(sorted(found.items()))


def _in_force(values: dict[int, int], hold: int, start: int, end: int) -> list[Second]:
    """Return the value in force in each second of a day; later ones overwrite."""
    seconds: list[Second] = [None] * (end - start)
    instants = list(values)
    for at, until in zip(instants, [*instants, end][1:], strict=True):
        for second in range(max(at, start), min(at + hold, until, end)):
            seconds[second - start] = values[at]
    return seconds


def _sums(
    readings: Readings,
    plan: NightPlan,
    probe: int,
    quantity: int,
    period: int,
    limits: tuple[int, int],
) -> Row:
    start, on, off, end = (int(b) for b in plan.bounds[probe])
    values = _readings(readings, probe, quantity)
    held = _in_force(values, int(plan.hold_s[probe]), start, end)
    from_milli, to_milli = BELIEVED_MILLI[quantity]
    day = [v if v is None or from_milli <= v <= to_milli else None for v in held]
    pieces = [(on, off)] if period == 0 else [(start, on), (off, end)]
    cut = [(a, day[a - start : b - start]) for a, b in pieces]
    inside = [v for _, piece in cut for v in piece if v is not None]
    impossible = sum(
        held[s - start] is not None and day[s - start] is None
        for a, b in pieces
        for s in range(a, b)
    )
    low = limits[0]
    high = 2**31 if limits[1] == MISSING else limits[1]
    below = max((_longest(piece, a, lambda v: v < low) for a, piece in cut), key=_order)
    above = max(
        (_longest(piece, a, lambda v: v > high) for a, piece in cut), key=_order
    )
    lowest, highest = min(inside, default=MISSING), max(inside, default=MISSING)
    return {
        "readings": sum(a <= at < b for at in values for a, b in pieces),
        "expected_s": sum(b - a for a, b in pieces),
        "covered_s": len(inside),
        "impossible_s": impossible,
        "sum_milli_s": sum(inside),
        "lowest_milli": lowest,
        "lowest_at": _first(cut, lowest),
        "highest_milli": highest,
        "highest_at": _first(cut, highest),
        "below_s": sum(v < low for v in inside),
        "inside_s": sum(low <= v <= high for v in inside),
        "above_s": sum(v > high for v in inside),
        "longest_below_s": below.length,
        "longest_below_at": below.start,
        "longest_above_s": above.length,
        "longest_above_at": above.start,
        "below_milli_s": sum(max(low - v, 0) for v in inside),
        "above_milli_s": sum(max(v - high, 0) for v in inside),
        **_stuck(day, start, values),
    }


def _order(spell: Spell) -> tuple[int, int]:
    return spell.length, -spell.start


def _longest(
    piece: Sequence[Second], start: int, is_so: Callable[[int], bool]
) -> Spell:
    best, second = Spell(0, MISSING), start
    for so, run in groupby(piece, key=lambda v: v is not None and is_so(v)):
        length = len(list(run))
        if so and length > best.length:
            best = Spell(length, second)
        second += length
    return best


def _first(cut: list[tuple[int, list[Second]]], value: int) -> int:
    for start, piece in cut:
        if value in piece:
            return start + piece.index(value)
    return MISSING


def _stuck(day: list[Second], start: int, values: dict[int, int]) -> Row:
    best, second = Spell(0, MISSING), start
    for value, run in groupby(day):
        length = len(list(run))
        if value is not None and length > best.length:
            best = Spell(length, second)
        second += length
    until = best.start + best.length
    return {
        "stuck_s": best.length,
        "stuck_at": best.start,
        "stuck_readings": sum(best.start <= at < until for at in values),
    }
