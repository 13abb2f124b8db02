"""Which animals are clutch-mates, and what each of them weighed at one's age."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from husbandry.rules.growth.herds import WeighedHerd

UNKNOWN = -1
# So many numbers are held at a time, however large a family is.
AT_ONCE = 2**20
TOO_FAR = np.iinfo(np.int64).max

Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Kin:
    """Whom animals come from, [n] each, in the order of a herd; −1 is not known.

    Attributes:
        dam, sire: keys of the parents.
        hatched: the day as a proleptic ordinal.
    """

    dam: Ints
    sire: Ints
    hatched: Ints


@dataclass(frozen=True, slots=True)
class Family:
    """Animals asked about, and the weighings of their mates at their age.

    Attributes:
        asked: [m], their places in the herd.
        members: [k], the places of all of the family, those asked about too.
        weighings: [m, k], the place in the herd of the weighing of each mate; −1
            where the animal is no mate, or has no weighing at that age.
    """

    asked: Ints
    members: Ints
    weighings: Ints


def families_of(
    herd: WeighedHerd, kin: Kin, asked: Ints, *, within_days: int
) -> Iterator[Family]:
    """Yield the families of animals that are asked about.

    Mates have the same dam, hatched within some days of each other, and do not have
    different sires; one whose dam is not known has no mates. Each mate is
    represented by its weighing nearest in age to the last one of the animal asked
    about; of two equally near the younger, of one day the last.

    Args:
        herd: weighings in force.
        kin: of the same animals.
        asked: places in the herd of animals that were weighed and whose day of
            hatching is known, in order.
        within_days: how far apart hatching, and ages, may lie.

    Source:
        mates-convention.
    """
    known = np.flatnonzero((kin.dam != UNKNOWN) & (kin.hatched != UNKNOWN))
    known = known[np.lexsort((known, kin.hatched[known], kin.dam[known]))]
    apart = (np.diff(kin.dam[known]) != 0) | (np.diff(kin.hatched[known]) > within_days)
    is_asked = np.zeros(len(herd), np.bool_)
    is_asked[asked] = True
    for members in np.split(known, np.flatnonzero(apart) + 1):
        wanted = members[is_asked[members]]
        if len(wanted) and len(members) > 1:
            weighings = _weighings(herd, kin, wanted, members, within_days)
            yield Family(wanted, members, weighings)


def _weighings(
    herd: WeighedHerd, kin: Kin, asked: Ints, members: Ints, within_days: int
) -> Ints:
    ages = herd.day[herd.starts[asked + 1] - 1] - kin.hatched[asked]
    places, owner = _weighed_about(herd, kin, members, ages, within_days)
    found = np.full((len(asked), len(members)), UNKNOWN, np.int64)
    # Not empty: whoever is asked about was weighed at its own age.
    owners, begins = np.unique(owner, return_index=True)
    age = herd.day[places] - kin.hatched[members][owner]
    step = max(1, AT_ONCE // len(places))
    for begin in range(0, len(asked), step):
        block = slice(begin, begin + step)
        nearest = _nearest(age, ages[block], begins, within_days)
        chosen = np.where(nearest == UNKNOWN, UNKNOWN, places[nearest])
        found[block, owners] = chosen
    found[~_are_mates(kin, asked, members, within_days)] = UNKNOWN
    return found


def _weighed_about(
    herd: WeighedHerd, kin: Kin, members: Ints, ages: Ints, within_days: int
) -> tuple[Ints, Ints]:
    """Return the weighings of a family at any of some ages, and whose each is."""
    places, owner = herd.places_of(members)
    age = herd.day[places] - kin.hatched[members][owner]
    near = (age >= ages.min() - within_days) & (age <= ages.max() + within_days)
    return places[near], owner[near]


def _nearest(age: Ints, ages: Ints, begins: Ints, within_days: int) -> Ints:
    """Return the index of each owner's weighing nearest to each age, or −1."""
    n = len(age)
    away = np.abs(age - ages[:, None])
    # One number to compare: how far, then the younger, then the last of a day.
    cost = (2 * away + (age > ages[:, None])) * n + np.arange(n - 1, -1, -1)
    cost[away > within_days] = TOO_FAR
    least = np.minimum.reduceat(cost, begins, axis=1)
    return np.where(least == TOO_FAR, UNKNOWN, n - 1 - least % n)


def _are_mates(
    kin: Kin, asked: Ints, members: Ints, within_days: int
) -> NDArray[np.bool_]:
    sire, other = kin.sire[asked][:, None], kin.sire[members]
    apart = np.abs(kin.hatched[asked][:, None] - kin.hatched[members])
    same: NDArray[np.bool_] = (
        (asked[:, None] != members)
        & (apart <= within_days)
        & ((sire == other) | (sire == UNKNOWN) | (other == UNKNOWN))
    )
    return same
