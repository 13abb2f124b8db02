"""One quantity's values as segments: each holds from an instant until another."""

from dataclasses import dataclass, replace

import numpy as np

from husbandry.rules.conditions.blocks import MARKS, Block
from husbandry.rules.conditions.values import MISSING, Bools, Int32s, Int64s


@dataclass(frozen=True, slots=True)
class Segments:
    """Values in force, row by row, on a block's line of seconds.

    Attributes:
        from_s: where each begins.
        until_s: where it ends; at from_s where nothing holds. From there to the
            next row is a gap.
        gaps: whether a gap follows, for all rows but the last.
        marks: rows of the marks, shape (4 k,); each carries the value in force.
        values: thousandths.
    """

    from_s: Int32s
    until_s: Int32s
    gaps: Bools
    marks: Int64s
    values: Int32s

    def without(self, rows: Int64s) -> "Segments":
        """Return the same, but nothing holds in some rows."""
        until_s = self.until_s.copy()
        until_s[rows] = self.from_s[rows]
        return segments_of(self.from_s, until_s, self.marks, self.values)

    def of(self, probes: Int64s) -> "Segments":
        """Return the segments of some of the probes only."""
        counts = np.diff(self.marks, append=len(self.values)).reshape(-1, MARKS)
        kept = np.zeros(len(counts), np.bool_)
        kept[probes] = True
        rows = np.repeat(kept, counts.sum(axis=1))
        ends = np.cumsum(counts[kept])
        return segments_of(
            self.from_s[rows],
            self.until_s[rows],
            np.concatenate([[0], ends[:-1]]),
            self.values[rows],
        )


def segments_of(
    from_s: Int32s, until_s: Int32s, marks: Int64s, values: Int32s
) -> Segments:
    """Return segments, and where gaps follow."""
    return Segments(from_s, until_s, until_s[:-1] != from_s[1:], marks, values)


def segments(block: Block) -> dict[int, Segments]:
    """Return the segments of each quantity of a block, from its first mark on."""
    found: dict[int, Segments] = {}
    whole: Segments | None = None
    for quantity, values in block.values.items():
        measured = values != MISSING
        if not measured.all():
            found[quantity] = _some(block, values, measured)
        elif whole is None:
            found[quantity] = whole = _held(
                block.line_s, block.hold_s, block.marks, values
            )
        else:  # the same rows, so the same instants
            found[quantity] = replace(whole, values=_in_force(values, block.marks))
    return found


def _some(block: Block, values: Int32s, measured: Bools) -> Segments:
    hold_s = block.hold_s if len(block.hold_s) == 1 else block.hold_s[measured]
    marks = np.cumsum(measured)[block.marks] - 1
    return _held(block.line_s[measured], hold_s, marks, values[measured])


def _held(line_s: Int32s, hold_s: Int32s, marks: Int64s, values: Int32s) -> Segments:
    until_s = line_s + hold_s
    _carry(until_s, marks, start=int(line_s[0]))
    np.minimum(until_s[:-1], line_s[1:], out=until_s[:-1])
    until_s[marks] = np.maximum(until_s[marks], line_s[marks])
    first = marks[0]
    from_s, until_s = line_s[first:], until_s[first:]
    return segments_of(from_s, until_s, marks - first, _in_force(values, marks))


def _in_force(values: Int32s, marks: Int64s) -> Int32s:
    carried = values.copy()
    _carry(carried, marks, start=MISSING)
    return carried[marks[0] :]


def _carry(column: Int32s, marks: Int64s, *, start: int) -> None:
    """Give each mark what the row before it has.

    Before the block's first row stands `start`. Before any other first mark of a
    probe stands a row of another lane, whose hold cannot reach into this day.
    """
    for nth in range(MARKS):  # a mark may follow upon a mark
        here = marks[nth::MARKS]
        column[here] = column[here - 1]
        if nth == 0 and here[0] == 0:
            column[0] = start
