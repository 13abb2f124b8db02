"""The day kernel: readings and a plan in, conditions out."""

from dataclasses import fields

import numpy as np

from husbandry.rules.conditions.blocks import Block, blocks
from husbandry.rules.conditions.pieces import Compared, Described, compare, describe
from husbandry.rules.conditions.segments import Segments, segments
from husbandry.rules.conditions.values import (
    MISSING,
    PERIODS,
    QUANTITIES,
    Int64s,
    Integers,
    NightConditions,
    NightPlan,
    Readings,
)


def summarise(readings: Readings, plan: NightPlan) -> NightConditions:
    """Sum a day's readings up by probe, quantity, band and period.

    A value is in force from its instant until the next reading of the same
    quantity of that probe, at most the probe's hold_s; also the one in force when
    the day opens. What is left is a gap, and a gap ends every spell. Impossible
    values are in force too, but count only as impossible seconds.

    All sums are of whole numbers, so the answer does not depend on the order in
    which readings arrived.

    Args:
        readings: of the plan's probes, in any order; readings outside the day are
            left out but for those that may still hold when it opens. Of two of
            one probe and instant the one that came last counts.
        plan: how the day is cut, and what is wanted.

    Returns:
        A row for each band of the plan and period. Always: covered, impossible
        and uncovered seconds add up to the expected ones; below, inside and above
        to the covered ones.

    Source:
        ADR 0002; what is impossible: `sensor-bounds` in docs/sources.md.
    """
    sheet = _Sheet(plan)
    for block in blocks(readings, plan):
        for quantity, held in segments(block).items():
            sheet.fill(block, quantity, held)
    return sheet.conditions()


class _Sheet:
    """The rows of the answer while they are filled, shape (bands, 2) by period."""

    def __init__(self, plan: NightPlan) -> None:
        self._plan = plan
        self._lanes = _lanes(plan.bands.probe, plan.bands.quantity)
        shape = (len(plan.bands), len(PERIODS))
        names = (*_names(Described), *_names(Compared))
        self._columns = {name: np.zeros(shape, np.int64) for name in names}

    def fill(self, block: Block, quantity: int, held: Segments) -> None:
        """Fill the rows of one quantity of a block's probes."""
        lanes = _lanes(block.probes, quantity)
        first = np.searchsorted(self._lanes, lanes)
        number = np.searchsorted(self._lanes, lanes, side="right") - first
        described, held = describe(held, quantity)
        bands = self._plan.bands
        for nth in range(number.max()):
            having = np.flatnonzero(number > nth)
            rows = first[having] + nth
            part = held if len(having) == len(number) else held.of(having)
            compared = compare(part, bands.low_milli[rows], bands.high_milli[rows])
            origin_s = block.origin_s[having, None]
            for name in _names(Described):
                self._put(name, rows, getattr(described, name)[having], origin_s)
            for name in _names(Compared):
                self._put(name, rows, getattr(compared, name), origin_s)

    def _put(self, name: str, rows: Int64s, values: Int64s, origin_s: Int64s) -> None:
        if name.endswith("_at"):
            values = np.where(values == MISSING, MISSING, values + origin_s)
        self._columns[name][rows] = values

    def conditions(self) -> NightConditions:
        """Return the filled rows, day and night of a band one after the other."""
        bands, bounds = self._plan.bands, self._plan.bounds
        pieces_s = np.diff(bounds, axis=1)[bands.probe]
        expected_s = np.stack([pieces_s[:, 1], pieces_s[:, 0] + pieces_s[:, 2]], axis=1)
        sums = {name: column.ravel() for name, column in self._columns.items()}
        return NightConditions(
            probe=np.repeat(bands.probe, len(PERIODS)),
            quantity=np.repeat(bands.quantity, len(PERIODS)),
            band=np.repeat(bands.band, len(PERIODS)),
            period=np.tile(np.arange(len(PERIODS)), len(bands)),
            expected_s=expected_s.ravel(),
            low_milli=bands.low_milli.ravel(),
            high_milli=bands.high_milli.ravel(),
            inside_s=sums["covered_s"] - sums["below_s"] - sums["above_s"],
            **sums,
        )


def _names(kind: type[Described] | type[Compared]) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind))


def _lanes(probe: Integers, quantity: Integers | int) -> Int64s:
    """Number each quantity of each probe."""
    return np.asarray(probe.astype(np.int64) * len(QUANTITIES) + quantity)
