"""The tabular method, of which only the part that is still needed is held.

The relationship of an animal to all older ones is half its dam's and half its
sire's, so a table is filled row by row. A row is needed only until the last of an
animal's young has had its turn: then its place in the table is given to another.
So the table is as large as the greatest number of animals that are needed at once,
not as the pedigree.
"""

from dataclasses import dataclass

import numpy as np

from clutches.rules.lineage.lineages import UNKNOWN, Flags, Floats, Int64s, Lineage

BLOCK = 512
"""So many animals are worked on at once; nobody in a block is another's parent."""
NEVER = -1


@dataclass(frozen=True, slots=True)
class Plan:
    """Which animals are worked on, in which blocks, and whose rows are held until when.

    Attributes:
        blocks: places of the animals of each block that have a parent on record.
        arriving: places whose row begins before each block without a parent.
        leaving: places whose row is let go after each block.
        held: by place, whether it has a row at all.
        rows: the most rows held at once.
        kept: places whose rows stay to the end.
    """

    blocks: tuple[Int64s, ...]
    arriving: tuple[Int64s, ...]
    leaving: tuple[Int64s, ...]
    held: Flags
    rows: int
    kept: Int64s


@dataclass(frozen=True, slots=True)
class Walked:
    """What came of a walk through a plan; by place, 0 for whoever was not in it.

    Attributes:
        inbreeding: F.
        own: the part of an animal's variance that is not its parents' average: what
            is drawn anew when genes are passed on.
        related: the relationship of those kept, in their order.
    """

    inbreeding: Floats
    own: Floats
    related: Floats


def plan_for(lineage: Lineage, wanted: Int64s, *, kept: Int64s) -> Plan:
    """Return how to come by the inbreeding of some and the relationship of others.

    Args:
        lineage: all ancestors of both.
        wanted: places whose inbreeding is asked for.
        kept: places whose relationship to one another is asked for.
    """
    needed = _with_ancestors(lineage, np.concatenate([wanted, kept]))
    bred = (lineage.parents != UNKNOWN).any(axis=1)
    block_of, blocks = _blocks(lineage, needed & bred)
    first, last = _uses(lineage, blocks)
    last[kept] = len(blocks)
    held = last != NEVER
    begins = np.where(bred, block_of, np.where(first == NEVER, 0, first))
    arriving = _by_block(np.flatnonzero(held & ~bred), begins, len(blocks))
    leaving = _by_block(np.flatnonzero(held), last, len(blocks))
    return Plan(
        blocks=blocks,
        arriving=arriving,
        leaving=leaving,
        held=held,
        rows=_most(begins[held], last[held], len(blocks)),
        kept=kept,
    )


def _with_ancestors(lineage: Lineage, wanted: Int64s) -> Flags:
    needed = np.zeros(len(lineage), np.bool_)
    needed[wanted] = True
    for part in reversed(list(lineage.generations())):
        parents = lineage.parents[part][needed[part]]
        needed[parents[parents != UNKNOWN]] = True
    return needed


def _blocks(lineage: Lineage, chosen: Flags) -> tuple[Int64s, tuple[Int64s, ...]]:
    """Cut those chosen into blocks, in order; none reaches over a generation."""
    block_of = np.zeros(len(lineage), np.int64)
    blocks: list[Int64s] = []
    for part in lineage.generations():
        places = part.start + np.flatnonzero(chosen[part])
        for start in range(0, len(places), BLOCK):
            block = places[start : start + BLOCK]
            block_of[block] = len(blocks)
            blocks.append(block)
    return block_of, tuple(blocks)


def _uses(lineage: Lineage, blocks: tuple[Int64s, ...]) -> tuple[Int64s, Int64s]:
    """Return by place in which block it is a parent first, and last, or NEVER."""
    first = np.full(len(lineage), NEVER, np.int64)
    last = first.copy()
    for number, block in enumerate(blocks):
        parents = lineage.parents[block]
        parents = parents[parents != UNKNOWN]
        new = parents[first[parents] == NEVER]
        first[new] = number
        last[parents] = number
    return first, last


def _by_block(places: Int64s, block: Int64s, blocks: int) -> tuple[Int64s, ...]:
    places = places[np.argsort(block[places], kind="stable")]
    ends = np.searchsorted(block[places], np.arange(blocks + 1))
    return tuple(places[ends[b] : ends[b + 1]] for b in range(blocks))


def _most(begins: Int64s, last: Int64s, blocks: int) -> int:
    change = np.zeros(blocks + 2, np.int64)
    np.add.at(change, begins, 1)
    np.add.at(change, last + 1, -1)
    return int(np.cumsum(change).max(initial=0))


def walk(lineage: Lineage, plan: Plan) -> Walked:
    """Return the inbreeding of everybody in a plan, and how those kept are related.

    Args:
        lineage: the one that the plan was made for.
        plan: see `plan_for`. The table takes `plan.rows` squared floats.

    Source:
        henderson-1988, for sires that are only likely: the row of an animal is half
        its dam's plus, for each male, half his probability times his row, and its
        own entry is 1 + ½ Σ probability × relationship of dam and male. With one
        certain sire that is the tabular method of emik-terrill-1949 in halves.
    """
    table = _Table(lineage, plan)
    for number, block in enumerate(plan.blocks):
        table.begin(plan.arriving[number])
        table.add(block)
        table.free(plan.leaving[number])
    if not plan.blocks:
        table.begin(plan.kept)
    slots = table.slot[plan.kept]
    return Walked(table.inbreeding, table.own, table.related[np.ix_(slots, slots)])


class _Table:
    """Rows of the animals that are needed now; the lower half mirrors the upper."""

    def __init__(self, lineage: Lineage, plan: Plan) -> None:
        self.lineage, self.held = lineage, plan.held
        self.related = np.zeros((plan.rows, plan.rows))
        self.slot = np.zeros(len(lineage), np.int64)
        self.inbreeding = np.zeros(len(lineage))
        self.own = np.ones(len(lineage))
        self.empty = np.arange(plan.rows)

    def begin(self, places: Int64s) -> None:
        """Give a row to animals of whose parents nothing is on record."""
        slots = self._take(places)
        self.related[slots, :] = 0
        self.related[:, slots] = 0
        self.related[slots, slots] = 1

    def add(self, block: Int64s) -> None:
        """Work out the animals of a block, and give rows to those that need one."""
        parents, weights = self.lineage.parents[block], self.lineage.weights[block]
        slots = self.slot[parents]
        self._own_entries(block, slots, weights)
        kept = self.held[block]
        if not kept.any():
            return
        slots, weights, block = slots[kept], weights[kept], block[kept]
        rows = _combined(self.related, slots, weights)
        among = _combined(rows.T, slots, weights)
        # The two halves were added up in another order and may differ in a last bit.
        among = (among + among.T) / 2
        new = self._take(block)
        self.related[new, :] = rows
        self.related[:, new] = rows.T
        self.related[np.ix_(new, new)] = among
        self.related[new, new] = 1 + self.inbreeding[block]

    def _own_entries(self, block: Int64s, slots: Int64s, weights: Floats) -> None:
        inbreeding, passed = np.zeros(len(block)), np.zeros(len(block))
        dam = np.where(weights[:, 0] > 0, 1.0, 0.0)
        for one in range(slots.shape[1]):
            for other in range(slots.shape[1]):
                related = self.related[slots[:, one], slots[:, other]]
                passed += weights[:, one] * weights[:, other] * related
                if one == 0 < other:
                    inbreeding += dam * weights[:, other] * related
        self.inbreeding[block] = inbreeding
        self.own[block] = 1 + inbreeding - passed

    def free(self, places: Int64s) -> None:
        """Let go of rows."""
        self.empty = np.concatenate([self.empty, self.slot[places]])

    def _take(self, places: Int64s) -> Int64s:
        slots, self.empty = self.empty[: len(places)], self.empty[len(places) :]
        self.slot[places] = slots
        return slots


def _combined(rows: Floats, slots: Int64s, weights: Floats) -> Floats:
    """Return for each animal its parents' rows, each by its weight, added up."""
    found = weights[:, :1] * rows[slots[:, 0]]
    for number in range(1, slots.shape[1]):
        some = np.flatnonzero(weights[:, number])
        found[some] += weights[some, number, None] * rows[slots[some, number]]
    return found
