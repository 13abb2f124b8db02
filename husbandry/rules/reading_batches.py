"""A batch of readings against itself and against what is stored already."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from husbandry.rules.loggers.vocabulary import MISSING
from husbandry.rules.readings import Longs, Mask, Millis, ReadingColumns

Places = NDArray[np.intp]
_NOT_LESS = np.iinfo(np.int32).max


@dataclass(frozen=True, slots=True, eq=False)
class Settled:
    """A batch without repeated keys, ordered by probe and instant."""

    readings: ReadingColumns
    places: Places
    """Where each reading (the first, if it was repeated) stood in the batch."""
    repeated: int
    """Readings that said nothing that another of the same key had not said."""
    contradicted: Places
    """Places in the batch of readings that contradict another of the same key."""


def settle_repeats(readings: ReadingColumns) -> Settled:
    """Order a batch and reduce readings of one probe and instant to one.

    Readings of one key that do not contradict each other are joined (a temperature
    and a humidity sent separately are one reading). If two of them differ in a
    quantity, all of that key are set aside: nobody can say which is right.

    Args:
        readings: accepted readings in any order; none is fine.
    """
    order = np.lexsort((readings.at, readings.probe_ids))
    in_order = readings.take(order)
    starts_key = np.ones(len(order), dtype=np.bool_)
    starts_key[1:] = (np.diff(in_order.probe_ids) != 0) | (np.diff(in_order.at) != 0)
    nowhere = np.empty(0, dtype=np.intp)
    if starts_key.all():
        return Settled(in_order, order, 0, nowhere)
    starts = np.flatnonzero(starts_key)
    joined, contradicts = _join(in_order.values(), starts)
    sizes = np.diff(starts, append=len(order))
    kept = starts[~contradicts]
    return Settled(
        ReadingColumns(
            in_order.probe_ids[kept],
            in_order.at[kept],
            *(column[~contradicts] for column in joined),
        ),
        order[kept],
        int((sizes[~contradicts] - 1).sum()),
        np.sort(order[np.repeat(contradicts, sizes)]),
    )


def _join(columns: tuple[Millis, ...], starts: Places) -> tuple[list[Millis], Mask]:
    joined = []
    contradicts = np.zeros(len(starts), dtype=np.bool_)
    for column in columns:
        # MISSING is the smallest int32, so a maximum finds any value beside it.
        highest = np.maximum.reduceat(column, starts)
        shown = np.where(column == MISSING, np.int32(_NOT_LESS), column)
        lowest = np.minimum.reduceat(shown, starts)
        contradicts |= (highest != MISSING) & (highest != lowest)
        joined.append(highest)
    return joined, contradicts


@dataclass(frozen=True, slots=True, eq=False)
class Comparison:
    """What a settled batch would change in what is stored: places of readings."""

    new: Places
    completing: Places
    """Readings that add a quantity to a stored one."""
    conflicting: Places
    """Readings of which a quantity differs from the stored one; nothing is taken."""
    stored_as: ReadingColumns
    """The stored readings that the conflicting ones differ from, in their order."""
    known: int
    """Readings that add nothing."""


def compare_with_stored(readings: ReadingColumns, stored: ReadingColumns) -> Comparison:
    """Tell new readings from known, completing and contradicting ones.

    Args:
        readings: settled, that is ordered by key and without repeats.
        stored: stored readings that include every one of the same keys; in any
            order; others among them do not matter.
    """
    match = _match(readings, stored)
    is_known = match >= 0
    beside = stored.take(match[is_known])
    differs = np.zeros(len(beside), dtype=np.bool_)
    adds = np.zeros(len(beside), dtype=np.bool_)
    ours = readings.take(is_known)
    for mine, theirs in zip(ours.values(), beside.values(), strict=True):
        has_value = mine != MISSING
        adds |= has_value & (theirs == MISSING)
        differs |= has_value & (theirs != MISSING) & (mine != theirs)
    places = np.flatnonzero(is_known)
    return Comparison(
        new=np.flatnonzero(~is_known),
        completing=places[adds & ~differs],
        conflicting=places[differs],
        stored_as=beside.take(differs),
        known=int((~adds & ~differs).sum()),
    )


def _match(readings: ReadingColumns, stored: ReadingColumns) -> Places:
    """Return for each reading the place of the stored one of its key, or −1."""
    match = np.full(len(readings), -1, dtype=np.intp)
    if not len(stored) or not len(readings):
        return match
    probes = np.unique(readings.probe_ids)
    lowest = min(int(readings.at.min()), int(stored.at.min()))
    span = max(int(readings.at.max()), int(stored.at.max())) - lowest + 1
    keys = _key(readings, probes, lowest, span)
    ours_too = np.flatnonzero(np.isin(stored.probe_ids, probes))
    theirs = _key(stored.take(ours_too), probes, lowest, span)
    found = np.minimum(np.searchsorted(keys, theirs), len(keys) - 1)
    same = keys[found] == theirs
    match[found[same]] = ours_too[same]
    return match


def _key(readings: ReadingColumns, probes: Longs, lowest: int, span: int) -> Longs:
    # A probe's rank times a span of seconds: far within int64, unlike its id.
    rank = np.searchsorted(probes, readings.probe_ids).astype(np.int64)
    return rank * span + (readings.at - lowest)


def days_touched(at: Longs, hold_s: Longs, day_starts: Longs) -> Places:
    """Return the places of the local days that readings matter to.

    Args:
        at: instants of readings.
        hold_s: for how long each may hold; over midnight it matters to the next
            day as well.
        day_starts: first seconds of consecutive local days, from the day of the
            earliest instant on to the day after the last second held.

    Returns:
        Places in `day_starts`, ascending, each once.
    """
    if not len(at):
        return np.empty(0, dtype=np.intp)
    first = np.searchsorted(day_starts, at, side="right") - 1
    last = np.searchsorted(day_starts, at + hold_s - 1, side="right") - 1
    longest = int((last - first).max())
    return np.unique(
        np.concatenate([np.minimum(first + n, last) for n in range(longest + 1)])
    )
