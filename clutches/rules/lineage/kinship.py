"""Inbreeding and kinship of the animals of a lineage."""

from collections.abc import Sequence

import numpy as np

from clutches.rules.lineage.lineages import (
    ROUNDED,
    UNKNOWN,
    Flags,
    Floats,
    Int64s,
    Lineage,
    LineageRow,
    build_lineage,
)
from clutches.rules.lineage.tabular import BLOCK, plan_for, walk

__all__ = [
    "Lineage",
    "LineageRow",
    "build_lineage",
    "collection_kinship",
    "inbreeding_of",
    "kinship_of",
    "known_generations",
    "lower_bounds",
]

MOST_ROWS = 6_000
"""Rows of a table at once, 288 MB; beyond, the work is done in parts."""
NOBODY: Int64s = np.zeros(0, np.int64)


def inbreeding_of(lineage: Lineage, *, most_rows: int = MOST_ROWS) -> Floats:
    """Return the inbreeding coefficient F of every animal, in the lineage's order.

    Args:
        lineage: with candidate sires, F is the one to be expected over them: the
            mean of what each would give, weighted by its probability.
        most_rows: of a table at once; a pedigree that needs more is cut into parts.

    Returns:
        float64, from 0 to less than 1. An unknown parent counts as unrelated to
        everybody, so F may be higher in truth: see `lower_bounds`.

    Source:
        henderson-1988; the way is told where the table is filled.
    """
    inbreeding, _ = _walked(lineage, np.arange(len(lineage)), most_rows)
    return inbreeding


def kinship_of(lineage: Lineage, wanted: Sequence[int]) -> Floats:
    """Return the kinship of animals to one another.

    Args:
        lineage: with all their ancestors.
        wanted: ids, each once.

    Returns:
        float64, wanted × wanted, in their order: the probability that a gene drawn
        from one and a gene drawn from the other are copies of one ancestor's. It is
        the inbreeding that young of the two would have. On the diagonal stands the
        kinship to itself, ½ (1 + F). Clutch-mates whose sire is not certain count
        as if each had a sire of its own, since a clutch can have several; if one
        male sired them all they are more closely related than this says.

    Raises:
        KeyError: one is not in the lineage.

    Source:
        henderson-1988; kinship is half the relationship.
    """
    plan = plan_for(lineage, NOBODY, kept=lineage.places_of(wanted))
    kinship: Floats = walk(lineage, plan).related / 2
    return kinship


def collection_kinship(lineage: Lineage, collection: Sequence[int]) -> Floats:
    """Return every animal's mean kinship to a collection, in the lineage's order.

    Args:
        lineage: with the collection and all its ancestors.
        collection: ids, each once; the diagonal is included, so an animal of the
            collection counts itself too. None: all zero.

    Returns:
        float64. No table of the whole collection is made: what the collection got
        from each ancestor is passed up the pedigree and down again.

    Raises:
        KeyError: one is not in the lineage.

    Source:
        ballou-lacy-1995 for the definition; colleau-2002 for the way.
    """
    found = np.zeros(len(lineage))
    if not collection:
        return found
    _, own = _walked(lineage, np.arange(len(lineage)), MOST_ROWS)
    found[lineage.places_of(collection)] = 1 / len(collection)
    parents, weights = lineage.parents, lineage.weights
    for part in reversed(list(lineage.generations())):
        for number in range(parents.shape[1]):
            known = parents[part, number] != UNKNOWN
            passed = weights[part, number] * found[part]
            np.add.at(found, parents[part, number][known], passed[known])
    found *= own
    for part in lineage.generations():
        found[part] += (weights[part] * found[parents[part]]).sum(axis=1)
    return found / 2


def lower_bounds(lineage: Lineage) -> Flags:
    """Say of every animal whether its figures are lower bounds.

    Returns:
        In the lineage's order: true where itself or an ancestor has a parent who is
        not on record, or sires that are likely less than 1 together. Only of those
        caught in the wild no parents are expected: they are the top of a pedigree.

    Source:
        House rule: unknown parents are taken as unrelated, which can only be too low.
    """
    parents, weights = lineage.parents, lineage.weights
    founding = (parents == UNKNOWN).all(axis=1) & lineage.wild
    bounds: Flags = ~founding & (weights.sum(axis=1) < 1 - ROUNDED)
    for part in lineage.generations():
        known = parents[part] != UNKNOWN
        bounds[part] |= (known & bounds[parents[part]]).any(axis=1)
    return bounds


def known_generations(lineage: Lineage) -> Floats:
    """Return how many generations of every animal are on record.

    Returns:
        In the lineage's order: ½ for each parent on record, ¼ for each grandparent
        and so on. 0: nothing is known; 2: both parents and all four of theirs. A
        sire that is only likely counts by its probability.

    Source:
        maignel-1996, from memory.
    """
    parents, weights = lineage.parents, lineage.weights
    depth = np.zeros(len(lineage))
    for part in lineage.generations():
        depth[part] = (weights[part] * (1 + depth[parents[part]])).sum(axis=1)
    return depth


def _walked(lineage: Lineage, wanted: Int64s, most_rows: int) -> tuple[Floats, Floats]:
    """Return inbreeding and own variance of some, by place; in parts if they are many."""
    plan = plan_for(lineage, wanted, kept=NOBODY)
    if plan.rows <= most_rows or len(wanted) <= BLOCK:
        walked = walk(lineage, plan)
        return walked.inbreeding, walked.own
    inbreeding, own = np.zeros(len(lineage)), np.ones(len(lineage))
    for part in np.array_split(wanted, 2):
        inbreeding[part], own[part] = (
            found[part] for found in _walked(lineage, part, most_rows)
        )
    return inbreeding, own
