"""Sums over the pieces of a day: the night before, the day, the night after.

An extreme or a longest spell is one 64-bit number: what is compared above, where
it was below, so that one pass finds both and the earliest wins among equals.
"""

from dataclasses import dataclass

import numpy as np

from husbandry.rules.conditions.blocks import MARKS
from husbandry.rules.conditions.segments import Segments
from husbandry.rules.conditions.values import (
    BELIEVED_MILLI,
    MISSING,
    Bools,
    Int32s,
    Int64s,
    Integers,
)

PLACE_BITS = 31
PLACE = 2**PLACE_BITS - 1
OPEN = 2**31 - 1
NO_LOWEST = 2**63 - 1
NO_HIGHEST = -(2**63)


@dataclass(frozen=True, slots=True)
class Described:
    """What was measured, by period, shape (k, 2).

    Instants are places on the block's line, MISSING where there is nothing to place.
    """

    readings: Int64s
    impossible_s: Int64s
    lowest_milli: Int64s
    lowest_at: Int64s
    highest_milli: Int64s
    highest_at: Int64s
    stuck_s: Int64s
    stuck_at: Int64s
    stuck_readings: Int64s


@dataclass(frozen=True, slots=True)
class Compared:
    """How the values lay to one band, by period, shape (k, 2)."""

    covered_s: Int64s
    sum_milli_s: Int64s
    below_s: Int64s
    above_s: Int64s
    longest_below_s: Int64s
    longest_below_at: Int64s
    longest_above_s: Int64s
    longest_above_at: Int64s
    below_milli_s: Int64s
    above_milli_s: Int64s


def _pieces(by_mark: Integers) -> Integers:
    """Drop what follows each day's end: shape (4 k,) to (k, 3)."""
    return by_mark.reshape(-1, MARKS)[:, : MARKS - 1]


def added(by_mark: Integers) -> Int64s:
    """Add the pieces up by period: day, night."""
    pieces = _pieces(by_mark)
    return np.stack([pieces[:, 1], pieces[:, 0] + pieces[:, 2]], axis=1)


def _highest(by_mark: Integers) -> Int64s:
    pieces = _pieces(by_mark)
    return np.stack([pieces[:, 1], np.maximum(pieces[:, 0], pieces[:, 2])], axis=1)


def describe(held: Segments, quantity: int) -> tuple[Described, Segments]:
    """Say what was measured, and return the segments without impossible values."""
    lowest, highest = _extremes(held)
    impossible_s = np.zeros_like(lowest)
    from_milli, to_milli = BELIEVED_MILLI[quantity]
    too_low = lowest < from_milli << PLACE_BITS
    too_high = highest >= to_milli + 1 << PLACE_BITS
    if too_low.any() or too_high.any():
        rows = np.flatnonzero((held.values < from_milli) | (held.values > to_milli))
        lasted = np.zeros(len(held.values), np.int64)
        lasted[rows] = held.until_s[rows] - held.from_s[rows]
        impossible_s = added(np.add.reduceat(lasted, held.marks))
        held = held.without(rows)
        lowest, highest = _extremes(held)
    stuck_s, stuck_at, stuck_readings = _longest_same(held)
    covered = lowest != NO_LOWEST
    described = Described(
        readings=added(np.diff(held.marks, append=len(held.values)) - 1),
        impossible_s=impossible_s,
        lowest_milli=np.where(covered, lowest >> PLACE_BITS, MISSING),
        lowest_at=np.where(covered, lowest & PLACE, MISSING),
        highest_milli=np.where(covered, highest >> PLACE_BITS, MISSING),
        highest_at=np.where(covered, PLACE - (highest & PLACE), MISSING),
        stuck_s=stuck_s,
        stuck_at=stuck_at,
        stuck_readings=stuck_readings,
    )
    return described, held


def _extremes(held: Segments) -> tuple[Int64s, Int64s]:
    """Return lowest and highest value in force with their earliest places."""
    coded = held.values.astype(np.int64)
    coded <<= PLACE_BITS
    coded |= held.from_s
    nothing = np.flatnonzero(held.until_s == held.from_s)
    coded[nothing] = NO_LOWEST
    pieces = _pieces(np.minimum.reduceat(coded, held.marks))
    lowest = np.stack([pieces[:, 1], np.minimum(pieces[:, 0], pieces[:, 2])], axis=1)
    coded ^= PLACE
    coded[nothing] = NO_HIGHEST
    return lowest, _highest(np.maximum.reduceat(coded, held.marks))


def _longest_same(held: Segments) -> tuple[Int64s, Int64s, Int64s]:
    """Return the longest run of one value by probe: seconds, place, readings."""
    begins = np.empty(len(held.values), np.bool_)
    np.not_equal(held.values[1:], held.values[:-1], out=begins[1:])
    begins[1:] |= held.gaps
    starts, ends = held.marks[::MARKS], held.marks[MARKS - 1 :: MARKS]
    begins[starts] = begins[ends] = True
    runs = _Runs(held, np.flatnonzero(begins))
    days = np.searchsorted(runs.rows, np.stack([starts, ends], axis=1).ravel())
    longest = np.maximum.reduceat(runs.coded(), days)[::2]
    first, after = runs.rows_of(longest)
    marks = np.searchsorted(held.marks, after) - np.searchsorted(held.marks, first)
    lasted_s = longest >> PLACE_BITS
    # What is not believed holds for no second, so it repeats nothing.
    readings = np.where(lasted_s > 0, after - first - marks, 0)
    # A period has a column of its own, though a run belongs to the whole day.
    return _both(lasted_s), _both(runs.place(longest)), _both(readings)


def _both(by_probe: Int64s) -> Int64s:
    return np.stack([by_probe, by_probe], axis=1)


class _Runs:
    """Runs of rows without a gap in any of them."""

    def __init__(self, held: Segments, rows: Int64s) -> None:
        self.rows = rows
        self._held = held
        self._after = np.append(rows[1:], len(held.values))
        ends_s = held.until_s[self._after - 1]
        self.lasted_s = (ends_s - held.from_s[rows]).astype(np.int64)

    def coded(self) -> Int64s:
        """Return length above, number of the run below, earlier ones greater."""
        coded: Int64s = self.lasted_s << PLACE_BITS
        coded |= PLACE - np.arange(len(self.rows))
        return coded

    def rows_of(self, coded: Int64s) -> tuple[Int64s, Int64s]:
        """Return the first row of coded runs, and the row after their last."""
        run = PLACE - (coded & PLACE)
        return self.rows[run], self._after[run]

    def place(self, coded: Int64s) -> Int64s:
        """Return where coded runs begin; MISSING where they have no length."""
        some = coded >> PLACE_BITS > 0
        run = np.where(some, PLACE - (coded & PLACE), 0)
        return np.where(some, self._held.from_s[self.rows[run]], MISSING)


def compare(held: Segments, low_milli: Integers, high_milli: Integers) -> Compared:
    """Say how values lay to one band; limits have shape (k, 2), by period."""
    low_milli, high_milli = low_milli.astype(np.int64), high_milli.astype(np.int64)
    high_milli[high_milli == MISSING] = OPEN
    below = held.values < _by_row(held, low_milli)
    above = held.values > _by_row(held, high_milli)
    begins = np.empty(len(below), np.bool_)
    np.not_equal(below[1:], below[:-1], out=begins[1:])
    begins[1:] |= above[1:] != above[:-1]
    begins[1:] |= held.gaps
    begins[held.marks] = True
    runs = _Runs(held, np.flatnonzero(begins))
    pieces = np.searchsorted(runs.rows, held.marks)
    weighted = (held.until_s - held.from_s).astype(np.int64)
    weighted *= held.values
    sums = np.add.reduceat(weighted, runs.rows)
    under = _side(runs, pieces, below[runs.rows], sums)
    over = _side(runs, pieces, above[runs.rows], sums)
    if_at_low: Int64s = low_milli * under.seconds
    if_at_high: Int64s = high_milli * over.seconds
    return Compared(
        covered_s=added(np.add.reduceat(runs.lasted_s, pieces)),
        sum_milli_s=added(np.add.reduceat(sums, pieces)),
        below_s=under.seconds,
        above_s=over.seconds,
        longest_below_s=under.longest >> PLACE_BITS,
        longest_below_at=runs.place(under.longest),
        longest_above_s=over.longest >> PLACE_BITS,
        longest_above_at=runs.place(over.longest),
        below_milli_s=if_at_low - under.sum_milli_s,
        above_milli_s=over.sum_milli_s - if_at_high,
    )


@dataclass(frozen=True, slots=True)
class _Side:
    """What lay on one side of a band, by period, shape (k, 2)."""

    seconds: Int64s
    sum_milli_s: Int64s
    longest: Int64s


def _side(runs: _Runs, pieces: Int64s, on_it: Bools, sums: Int64s) -> _Side:
    seconds = np.where(on_it, runs.lasted_s, 0)
    longest = np.where(on_it, runs.coded(), 0)
    return _Side(
        seconds=added(np.add.reduceat(seconds, pieces)),
        sum_milli_s=added(np.add.reduceat(np.where(on_it, sums, 0), pieces)),
        longest=_highest(np.maximum.reduceat(longest, pieces)),
    )


def _by_row(held: Segments, limits_milli: Integers) -> Int32s:
    """Return the limit of its period for each row."""
    by_mark = limits_milli.astype(np.int32)[:, [1, 0, 1, 1]].ravel()
    return np.repeat(by_mark, np.diff(held.marks, append=len(held.values)))
