"""Readings cut into blocks: whole probes in order of time, small enough for the cache.

The days of a block's probes lie one after another on one line of seconds, each in
a lane of its own: first the time in which an earlier reading may still hold, then
the local day. So one 32-bit number tells probe and instant, and grows row by row.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from husbandry.rules.conditions.ordering import in_order, place_type, stable_order
from husbandry.rules.conditions.values import (
    QUANTITIES,
    Int32s,
    Int64s,
    NightPlan,
    Readings,
)

BLOCK_ROWS = 65_536  # a block's arrays stay in the processor's cache
LINE_S = 2**31 - 1
MARKS = 4  # day start, lights on, lights off, day end


@dataclass(frozen=True, slots=True)
class Block:
    """Some probes that measure the same quantities, with their readings.

    Each probe's rows hold four marks, put in where its day starts, its lights go
    on, its lights go off and its day ends; a mark stands before readings of the
    same instant. Rows before the first mark are earlier readings.

    Attributes:
        probes: indexes into the plan's probes, shape (k,).
        origin_s: epoch second of the line's second 0 for each probe, shape (k,).
        quantities: indexes of the quantities they measure.
        line_s: place of each row on the line.
        hold_s: how long its value may hold: one number, or by row.
        marks: rows of the marks, shape (4 k,).
        values: by quantity, thousandths or MISSING, of no meaning at marks.
    """

    probes: Int64s
    origin_s: Int64s
    quantities: tuple[int, ...]
    line_s: Int32s
    hold_s: Int32s
    marks: Int64s
    values: dict[int, Int32s]


@dataclass(frozen=True, slots=True)
class _Queue:
    """Probes in the order in which they are worked on, and how they are cut.

    Attributes:
        probes: those of equal kind together, then by holding time.
        kinds: for each place, which quantities are measured, as bits.
        ends: for each place, the row after its last one.
        lanes_s: for each place, the length of a lane that fits it.
    """

    probes: Int64s
    kinds: Int64s
    ends: Int64s
    lanes_s: Int64s


def blocks(readings: Readings, plan: NightPlan) -> Iterator[Block]:
    """Cut readings into blocks of whole probes.

    Args:
        readings: in any order; of two with the same probe and instant the one that
            came last counts, quantity by quantity.
        plan: the probes; those without any band have no block.
    """
    kinds = _kinds(plan)
    probes = np.lexsort((plan.hold_s, kinds))
    place = np.empty(len(plan), place_type(len(plan)))
    place[probes] = np.arange(len(plan))
    row_place = place[readings.probe]
    rows = stable_order(row_place)
    day_s = (plan.bounds[:, -1] - plan.bounds[:, 0]).max(initial=0)
    queue = _Queue(
        probes=probes,
        kinds=kinds[probes],
        ends=np.cumsum(np.bincount(row_place, minlength=len(plan))),
        lanes_s=plan.hold_s[probes] + day_s + 1,
    )
    for first, last in _cuts(queue):
        yield _block(readings, plan, queue, rows, slice(first, last))


def _kinds(plan: NightPlan) -> Int64s:
    """Return for each probe which quantities it measures, as bits."""
    kinds = np.zeros(len(plan), np.int64)
    for quantity in range(len(QUANTITIES)):
        kinds[plan.bands.probe[plan.bands.quantity == quantity]] |= 1 << quantity
    return kinds


def _cuts(queue: _Queue) -> Iterator[tuple[int, int]]:
    """Yield first and last place of each block: one kind, few rows, one line."""
    first = int(np.searchsorted(queue.kinds, 1))  # kind 0 measures nothing
    while first < len(queue.kinds):
        begin = int(queue.ends[first - 1]) if first else 0
        last = min(
            int(np.searchsorted(queue.ends, begin + BLOCK_ROWS, side="right")),
            int(np.searchsorted(queue.kinds, queue.kinds[first], side="right")),
        )
        last = max(last, first + 1)
        # One lane more than there are probes leaves room for the last one's hold.
        while (last - first + 1) * int(queue.lanes_s[last - 1]) > LINE_S:
            last = first + (last - first) // 2
        yield first, last
        first = last


def _block(
    readings: Readings, plan: NightPlan, queue: _Queue, rows: Int64s, places: slice
) -> Block:
    probes = queue.probes[places]
    begin = int(queue.ends[places.start - 1]) if places.start else 0
    ends = queue.ends[places]
    rows, counts = rows[begin : ends[-1]], np.diff(ends, prepend=begin)
    quantities = tuple(
        q for q in range(len(QUANTITIES)) if queue.kinds[places.start] >> q & 1
    )
    bounds, hold_s = plan.bounds[probes], plan.hold_s[probes]
    lane_s = int(queue.lanes_s[places].max())
    begins_s = np.arange(len(probes)) * lane_s + hold_s.max()
    origin_s = bounds[:, 0] - begins_s
    at, rows, counts = _within(readings.at[rows], rows, counts, bounds, hold_s)
    line_s = (at - np.repeat(origin_s, counts)).astype(np.int32)
    values = {q: readings.values[q][rows] for q in quantities}
    if not (line_s[1:] > line_s[:-1]).all():
        line_s, values, counts = in_order(line_s, values, counts)
    marks_s = (bounds - origin_s[:, None]).astype(np.int32).ravel()
    marks = np.searchsorted(line_s, marks_s)
    return Block(
        probes=probes,
        origin_s=origin_s,
        quantities=quantities,
        line_s=np.insert(line_s, marks, marks_s),
        hold_s=_by_row(hold_s, counts + MARKS),
        marks=marks + np.arange(len(marks)),
        values={q: np.insert(v, marks, 0) for q, v in values.items()},
    )


def _within(
    at: Int64s, rows: Int64s, counts: Int64s, bounds: Int64s, hold_s: Int64s
) -> tuple[Int64s, Int64s, Int64s]:
    """Leave out rows that can have no part in their probe's day."""
    from_s, until_s = bounds[:, 0] - hold_s, bounds[:, -1]
    if not len(at) or (at.min() > from_s.max() and at.max() < until_s.min()):
        return at, rows, counts
    lane = np.repeat(np.arange(len(counts)), counts)
    kept = (at > from_s[lane]) & (at < until_s[lane])
    return at[kept], rows[kept], np.bincount(lane[kept], minlength=len(counts))


def _by_row(hold_s: Int64s, counts: Int64s) -> Int32s:
    """Return one number where all probes hold alike, else a number for each row."""
    short = hold_s.astype(np.int32)
    return short[:1] if (short == short[0]).all() else np.repeat(short, counts)
