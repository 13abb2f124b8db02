"""Order of rows: by probe fast, by instant only where they arrived otherwise."""

import numpy as np

from husbandry.rules.conditions.values import MISSING, Int32s, Int64s, Integers


def stable_order(place: Integers) -> Int64s:
    """Return the order that sorts places, equals staying as they came.

    numpy sorts 16-bit numbers by radix, many times as fast as wider ones.

    Args:
        place: uint16, or uint32 where there are more places than that.
    """
    order = np.argsort(place.astype(np.uint16, copy=False), kind="stable")
    if place.dtype != np.uint16:
        high = (place >> 16).astype(np.uint16)
        order = order[np.argsort(high[order], kind="stable")]
    return order


def place_type(places: int) -> type[np.uint16] | type[np.uint32]:
    """Return the narrowest type that numbers so many places."""
    return np.uint16 if places <= 2**16 else np.uint32


def in_order(
    line_s: Int32s, values: dict[int, Int32s], counts: Int64s
) -> tuple[Int32s, dict[int, Int32s], Int64s]:
    """Sort a block's rows by instant and merge those of one probe and instant.

    Args:
        line_s: place on the block's line, in order of arrival within each probe.
        values: by quantity.
        counts: rows of each probe.

    Returns:
        The same with rising instants. Of several values of one quantity at one
        instant the one that came last is kept; a missing one replaces none.
    """
    order = np.argsort(line_s, kind="stable")
    lane = np.repeat(np.arange(len(counts)), counts)[order]
    line_s = line_s[order]
    values = {q: v[order] for q, v in values.items()}
    while (twice := line_s[1:] == line_s[:-1]).any():
        # The first of each two goes; its values fill what the second is missing.
        # Of three, the first two may go at once only one after the other.
        twice[1:] &= ~twice[:-1]
        gone = np.flatnonzero(twice)
        for column in values.values():
            unknown = column[gone + 1] == MISSING
            column[gone[unknown] + 1] = column[gone[unknown]]
        line_s, lane = np.delete(line_s, gone), np.delete(lane, gone)
        values = {q: np.delete(v, gone) for q, v in values.items()}
    return line_s, values, np.bincount(lane, minlength=len(counts))
