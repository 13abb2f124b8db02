"""The weighings of many animals side by side, as arrays.

What one animal's rules work out in lists is worked out here for thousands at once.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from husbandry.rules.weight_series import DAY_S, day_begins_at
from husbandry.rules.weights import WeighingPoint

EPOCH_DAY = date(1970, 1, 1).toordinal()


@dataclass(frozen=True, slots=True)
class WeighedHerd:
    """Weighings in force, one animal after the other, each oldest first.

    Attributes:
        starts: [n + 1], where each animal's weighings begin; the last is the end.
        at_s: [p], epoch seconds.
        day: [p], local days as proleptic ordinals (`date.toordinal`).
        mass_g: [p], grams.
        points: the weighings themselves, in the same order.
    """

    starts: NDArray[np.int64]
    at_s: NDArray[np.float64]
    day: NDArray[np.int64]
    mass_g: NDArray[np.float64]
    points: tuple[WeighingPoint, ...]

    def __len__(self) -> int:
        """Return how many animals there are, weighed or not."""
        return len(self.starts) - 1

    @property
    def counts(self) -> NDArray[np.int64]:
        """Return how many weighings each animal has, [n]."""
        return np.diff(self.starts)

    def places_of(
        self, animals: NDArray[np.int64]
    ) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Return the places of some animals' weighings, and of whom each is.

        Args:
            animals: [m], places of animals in the herd.

        Returns:
            Both [q]: places in the herd's weighings, and indices into `animals`.
        """
        counts = self.counts[animals]
        owner = np.repeat(np.arange(len(animals)), counts)
        begins = np.repeat(self.starts[animals] - np.cumsum(counts) + counts, counts)
        return begins + np.arange(len(owner)), owner

    def only(self, animals: NDArray[np.int64]) -> "WeighedHerd":
        """Return some of the animals, in the order asked for."""
        places, owner = self.places_of(animals)
        return WeighedHerd(
            starts=np.searchsorted(owner, np.arange(len(animals) + 1)),
            at_s=self.at_s[places],
            day=self.day[places],
            mass_g=self.mass_g[places],
            points=tuple([self.points[place] for place in places.tolist()]),
        )


def weighed_herd(
    weighings: Sequence[Sequence[WeighingPoint]], *, on: date, zone: ZoneInfo
) -> WeighedHerd:
    """Return the weighings of many animals that held at the end of a local day.

    Args:
        weighings: of each animal, in any order; none is allowed. Those that another
            one of the same animal corrects are left out.
        on: the local day; later weighings are left out.
        zone: whose local days count.
    """
    points = [p for animal in weighings for p in animal]
    counts = [len(animal) for animal in weighings]
    owner = np.repeat(np.arange(len(weighings)), counts)
    at_s = _floats(map(datetime.timestamp, [p.at for p in points]), len(points))
    day = local_days(at_s, zone=zone)
    kept = np.flatnonzero(_in_force(points, owner) & (day <= on.toordinal()))
    kept = _in_order(points, owner, at_s, kept)
    chosen = tuple([points[place] for place in kept.tolist()])
    return WeighedHerd(
        starts=np.searchsorted(owner[kept], np.arange(len(weighings) + 1)),
        at_s=at_s[kept],
        day=day[kept],
        mass_g=_floats(map(float, [p.mass_g for p in chosen]), len(chosen)),
        points=chosen,
    )


def local_days(at_s: NDArray[np.float64], *, zone: ZoneInfo) -> NDArray[np.int64]:
    """Return the local day of each instant, as proleptic ordinals.

    Args:
        at_s: [p], epoch seconds, in any order.
        zone: whose local days count.
    """
    if not len(at_s):
        return np.empty(0, np.int64)
    # A zone is never more than a day off.
    first = EPOCH_DAY + int(at_s.min() // DAY_S) - 1
    last = EPOCH_DAY + int(at_s.max() // DAY_S) + 2
    begins_s = [
        day_begins_at(date.fromordinal(n), zone).timestamp()
        for n in range(first, last + 1)
    ]
    return first - 1 + np.searchsorted(np.array(begins_s), at_s, side="right")


def _floats(values: Iterable[float], count: int) -> NDArray[np.float64]:
    return np.fromiter(values, np.float64, count)


def _in_force(
    points: list[WeighingPoint], owner: NDArray[np.int64]
) -> NDArray[np.bool_]:
    in_force = np.ones(len(points), np.bool_)
    corrects = [p.corrects for p in points]
    if corrects.count(None) == len(points):
        return in_force
    corrected = set(zip(owner.tolist(), corrects, strict=True))
    for place, point in enumerate(points):
        in_force[place] = (int(owner[place]), point.id) not in corrected
    return in_force


def _in_order(
    points: list[WeighingPoint],
    owner: NDArray[np.int64],
    at_s: NDArray[np.float64],
    kept: NDArray[np.int64],
) -> NDArray[np.int64]:
    """Return the places of weighings, each animal's oldest first."""
    later = np.diff(at_s[kept]) > 0
    # Queries hand them out in order already.
    if np.all(later | (np.diff(owner[kept]) > 0)):
        return kept
    ids = np.fromiter((points[place].id for place in kept.tolist()), np.int64)
    return kept[np.lexsort((ids, at_s[kept], owner[kept]))]
