"""A pedigree as arrays: ancestors before their young, sires with their likelihood."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from core.errors import DomainError

Floats: TypeAlias = npt.NDArray[np.float64]
Int64s: TypeAlias = npt.NDArray[np.int64]
Flags: TypeAlias = npt.NDArray[np.bool_]

UNKNOWN = -1
"""In place of a parent that is not on record."""
ROUNDED = 1e-4
"""Shares kept to five decimals may miss so much of 1 and still be all of it."""


class LineageError(DomainError):
    """A pedigree cannot be: an animal descends from itself, or has too many sires."""

    code = "lineage_refused"


@dataclass(frozen=True, slots=True)
class LineageRow:
    """One animal with its parents as far as they are on record.

    Attributes:
        sires: (id, probability) of each male that may be the sire; what is missing
            of 1 is an unknown male.
        label: how people call it.
        wild: caught in the wild, so that it stands at the top of the pedigree.
    """

    id: int
    dam: int | None = None
    sires: tuple[tuple[int, float], ...] = ()
    label: str = ""
    wild: bool = False


@dataclass(frozen=True, slots=True)
class Lineage:
    """Animals and all their ancestors, every ancestor before its young.

    Attributes:
        ids: of the animals; every array is in this order.
        parents: int64, animals × parents: places in `ids`, the dam first, then every
            male that may be the sire; UNKNOWN where there is none.
        weights: float64, likewise: which share of its genes comes from each, ½ from
            a known dam, ½ of its probability from a sire, 0 from UNKNOWN.
        levels: where each generation begins, and the end; nobody is a parent of
            another within one.
        wild: whether an animal was caught in the wild.
        places: of each id in `ids`.
    """

    ids: tuple[int, ...]
    labels: tuple[str, ...]
    parents: Int64s
    weights: Floats
    levels: tuple[int, ...]
    wild: Flags
    places: Mapping[int, int]

    def __len__(self) -> int:
        """Return how many animals there are."""
        return len(self.ids)

    def places_of(self, wanted: Sequence[int]) -> Int64s:
        """Return the places of ids.

        Raises:
            KeyError: one is not in this lineage.
        """
        return np.array([self.places[id_] for id_ in wanted], np.int64)

    def generations(self) -> Iterable[slice]:
        """Yield the places of each generation, the oldest first."""
        for start, end in zip(self.levels, self.levels[1:], strict=False):
            yield slice(start, end)


def build_lineage(rows: Iterable[LineageRow]) -> Lineage:
    """Put animals in order, ancestors first.

    Args:
        rows: in any order; of two with one id the later counts. A parent without a
            row of its own is taken for one of whom nothing is on record.

    Returns:
        The lineage; empty of no rows.

    Raises:
        LineageError: somebody descends from itself (the sentence names the way
            round), or the sires of one animal are likelier than 1 together.
    """
    known = {row.id: row for row in rows}
    for row in list(known.values()):
        _check_shares(row)
        for parent in _parents(row):
            known.setdefault(parent, LineageRow(parent))
    generation = _generations(known)
    ids = sorted(known, key=lambda id_: (generation[id_], known[id_].dam or 0, id_))
    places = {id_: place for place, id_ in enumerate(ids)}
    parents, weights = _tables([known[id_] for id_ in ids], places)
    depth = np.array([generation[id_] for id_ in ids], np.int64)
    last = int(depth[-1]) + 1 if ids else 0
    levels = np.searchsorted(depth, np.arange(last + 1)) if ids else np.zeros(1)
    return Lineage(
        ids=tuple(ids),
        labels=tuple(known[id_].label or f"animal {id_}" for id_ in ids),
        parents=parents,
        weights=weights,
        levels=tuple(int(level) for level in levels),
        wild=np.array([known[id_].wild for id_ in ids], np.bool_),
        places=places,
    )


def way_up(lineage: Lineage, start: int, ends: Collection[int]) -> tuple[str, ...]:
    """Return the names on one way from an animal up to one of others.

    Args:
        lineage: with the animal and all its ancestors.
        start: its id; it can be one of the others itself.
        ends: ids; those that are not in the lineage are nobody's ancestor.

    Returns:
        The animal first, each followed by a parent; empty: there is no way.
    """
    came_from: dict[int, int | None] = {lineage.places[start]: None}
    wanted = {lineage.places[end] for end in ends if end in lineage.places}
    for place in (waiting := list(came_from)):
        if place in wanted:
            names: list[str] = []
            back: int | None = place
            while back is not None:
                names.append(lineage.labels[back])
                back = came_from[back]
            return tuple(reversed(names))
        for parent in lineage.parents[place].tolist():
            if parent != UNKNOWN and parent not in came_from:
                came_from[parent] = place
                waiting.append(parent)
    return ()


def _parents(row: LineageRow) -> tuple[int, ...]:
    sires = tuple(sire for sire, _ in row.sires)
    return sires if row.dam is None else (row.dam, *sires)


def _check_shares(row: LineageRow) -> None:
    total = sum(share for _, share in row.sires)
    if total > 1 + ROUNDED or any(not share > 0 for _, share in row.sires):
        raise LineageError(
            f"The sires that {row.label or row.id} may have are likely {total:.5f} "
            "together; each must be more than 0 and all of them at most 1."
        )


def _generations(known: Mapping[int, LineageRow]) -> dict[int, int]:
    """Return how many generations lie above each animal, the longest way up."""
    young: dict[int, list[int]] = {}
    missing = {}
    for row in known.values():
        parents = set(_parents(row))
        missing[row.id] = len(parents)
        for parent in parents:
            young.setdefault(parent, []).append(row.id)
    generation = {id_: 0 for id_, count in missing.items() if not count}
    ready = list(generation)
    for parent in ready:
        for child in young.get(parent, ()):
            missing[child] -= 1
            if not missing[child]:
                ready.append(child)
                generation[child] = 1 + max(
                    generation[one] for one in _parents(known[child])
                )
    if len(ready) < len(known):
        raise _loop(known, {id_ for id_, count in missing.items() if count})
    return generation


def _loop(known: Mapping[int, LineageRow], left: set[int]) -> LineageError:
    """Return the refusal that names one way from an animal back to itself."""
    path = [min(left)]
    while path.count(path[-1]) == 1:
        path.append(next(p for p in _parents(known[path[-1]]) if p in left))
    path = path[path.index(path[-1]) :]
    names = [known[id_].label or f"animal {id_}" for id_ in path]
    return LineageError(
        f"{names[0]} descends from itself ({' ← '.join(names)}). One of these parents "
        "is wrong; correct it.",
        fields={"parents": "no animal among its own ancestors"},
    )


def _tables(
    rows: Sequence[LineageRow], places: Mapping[int, int]
) -> tuple[Int64s, Floats]:
    wide = 1 + max([1, *(len(row.sires) for row in rows)])
    parents = np.full((len(rows), wide), UNKNOWN, np.int64)
    weights = np.zeros((len(rows), wide))
    dams = [UNKNOWN if row.dam is None else places[row.dam] for row in rows]
    parents[:, 0] = dams
    weights[:, 0] = np.where(parents[:, 0] == UNKNOWN, 0.0, 0.5)
    for place, row in enumerate(rows):
        for number, (sire, share) in enumerate(row.sires, start=1):
            parents[place, number] = places[sire]
            weights[place, number] = share / 2
    return parents, weights
