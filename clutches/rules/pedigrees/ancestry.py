"""An animal's ancestors, place by place: each way up is a place of its own."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from string import ascii_uppercase

from clutches.rules.lineage.lineages import UNKNOWN, Lineage
from clutches.rules.pedigrees.records import ParentRole
from husbandry.rules.vocabulary import DatePrecision, Sex

MOST_GENERATIONS = 6
USUAL_GENERATIONS = 4
CERTAIN = 0.99999
"""Shares are kept to five decimals."""


@dataclass(frozen=True, slots=True)
class Kin:
    """An animal as a pedigree shows it."""

    id: int
    code: str
    name: str
    sex: Sex
    hatched_on: date | None
    hatched_precision: DatePrecision

    @property
    def label(self) -> str:
        """Return code and name, as people say them."""
        return f"{self.code} {self.name}".strip()


@dataclass(frozen=True, slots=True)
class Candidate:
    """A male that may be the sire, and how likely."""

    kin: Kin
    probability: float


@dataclass(frozen=True, slots=True)
class Place:
    """One place of a pedigree.

    Attributes:
        path: the way up to it, the nearest parent first; empty for the animal itself.
        kin: who stands there; None: not known, or one of the candidates.
        candidates: males of whom one is the sire, the likeliest first.
        mark: a letter that all places of one animal share; "" where it has one place.
    """

    path: tuple[ParentRole, ...]
    kin: Kin | None
    candidates: tuple[Candidate, ...] = ()
    mark: str = ""

    @property
    def missing(self) -> float:
        """Return how likely none of the candidates is the sire."""
        left = 1 - sum(candidate.probability for candidate in self.candidates)
        return left if left > 1 - CERTAIN else 0.0


def ids_within(lineage: Lineage, root: int, *, generations: int) -> frozenset[int]:
    """Return the animals of a pedigree and all candidate sires in it.

    Args:
        lineage: with the animal in it.
        root: its key.
        generations: of ancestors, from 0 on.
    """
    found = {root}
    young = {root}
    for _ in range(generations):
        places = lineage.places_of(sorted(young))
        parents = lineage.parents[places]
        young = {lineage.ids[at] for at in parents[parents != UNKNOWN].tolist()}
        found |= young
    return frozenset(found)


def places_of(
    lineage: Lineage, root: int, *, generations: int, kin: Mapping[int, Kin]
) -> tuple[Place, ...]:
    """Return the places of a pedigree, each animal before its dam, the dam's side first.

    An ancestor that is reached by several ways has a place on each, all with one
    mark. Above an unknown parent, or a set of candidates, there are no places.

    Args:
        lineage: with the animal and its ancestors in it.
        root: the animal's key.
        generations: of ancestors, from 0 (the animal alone) on.
        kin: at least those of `ids_within`.
    """
    places = tuple(_walk(lineage, root, (), generations, kin))
    times = Counter(place.kin.id for place in places if place.kin)
    marks: dict[int, str] = {}
    for place in places:
        if place.kin is not None and times[place.kin.id] > 1:
            marks.setdefault(place.kin.id, _letter(len(marks)))
    return tuple(
        replace(place, mark=marks[place.kin.id])
        if place.kin is not None and place.kin.id in marks
        else place
        for place in places
    )


def _letter(number: int) -> str:
    before, last = divmod(number, len(ascii_uppercase))
    return (_letter(before - 1) if before else "") + ascii_uppercase[last]


def _walk(
    lineage: Lineage,
    id_: int,
    path: tuple[ParentRole, ...],
    left: int,
    kin: Mapping[int, Kin],
) -> Iterator[Place]:
    yield Place(path, kin[id_])
    if not left:
        return
    at = lineage.places[id_]
    dam, *sires = lineage.parents[at].tolist()
    shares = (lineage.weights[at, 1:] * 2).tolist()
    up = (*path, ParentRole.DAM)
    if dam == UNKNOWN:
        yield Place(up, None)
    else:
        yield from _walk(lineage, lineage.ids[dam], up, left - 1, kin)
    candidates = [
        Candidate(kin[lineage.ids[sire]], share)
        for sire, share in zip(sires, shares, strict=True)
        if sire != UNKNOWN
    ]
    yield from _sire(lineage, candidates, (*path, ParentRole.SIRE), left - 1, kin)


def _sire(
    lineage: Lineage,
    candidates: list[Candidate],
    path: tuple[ParentRole, ...],
    left: int,
    kin: Mapping[int, Kin],
) -> Iterator[Place]:
    if len(candidates) == 1 and candidates[0].probability >= CERTAIN:
        yield from _walk(lineage, candidates[0].kin.id, path, left, kin)
        return
    ranked = sorted(candidates, key=lambda c: (-c.probability, c.kin.code))
    yield Place(path, None, tuple(ranked))
