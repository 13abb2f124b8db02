"""One young animal beside its clutch-mates at the same age.

The median and the median deviation are used, not the mean and the standard
deviation: one runt or one giant among eight must not move what "usual" is.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

# Makes the median deviation of a normal distribution its standard deviation.
TO_DEVIATION = 1.4826

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class MateComparison:
    """How an animal's mass compares with its mates'.

    Attributes:
        mates: how many were compared with, or would have been.
        median_g: of the mates; None, as the rest, where they are too few.
        scaled_mad_g: their median deviation from it, times 1.4826.
        score: (mass − median) / scaled deviation; None too where more than half of
            the mates weigh the same and the animal does not.
        rank: 1 for the heaviest of the mates and the animal itself.
    """

    mates: int
    median_g: float | None = None
    scaled_mad_g: float | None = None
    score: float | None = None
    rank: int | None = None


@dataclass(frozen=True, slots=True)
class MateScores:
    """The same for many animals, [m] each; NaN where nothing can be said."""

    mates: Ints
    median_g: Floats
    scaled_mad_g: Floats
    score: Floats
    rank: Ints

    def of(self, row: int) -> MateComparison:
        """Return one animal's comparison; it has mates."""
        score = float(self.score[row])
        return MateComparison(
            mates=int(self.mates[row]),
            median_g=float(self.median_g[row]),
            scaled_mad_g=float(self.scaled_mad_g[row]),
            score=None if np.isnan(score) else score,
            rank=int(self.rank[row]),
        )


def compare_with_mates(
    mass_g: Decimal, mates_g: Sequence[Decimal], *, least: int
) -> MateComparison:
    """Compare one animal's mass with its clutch-mates' of the same age.

    Args:
        mass_g: the animal's, grams.
        mates_g: one mass for each mate, itself left out, in any order.
        least: with fewer mates nothing is compared; at least one.

    Returns:
        The comparison; only the number of mates where they are fewer than `least`.

    Raises:
        ValueError: `least` is below one.

    Source:
        mates-convention.
    """
    if least < 1:
        raise ValueError(f"least is {least}; nobody can be compared with no mate.")
    if len(mates_g) < least:
        return MateComparison(len(mates_g))
    many = score_rows(
        np.array([float(mass_g)]), np.array([[float(mate_g) for mate_g in mates_g]])
    )
    return many.of(0)


def score_rows(mass_g: Floats, mates_g: Floats) -> MateScores:
    """Compare many animals, each with the mates of its own row.

    Args:
        mass_g: [m], grams.
        mates_g: [m, k], grams; NaN where a mate is lacking.

    Source:
        mates-convention.
    """
    mates = np.count_nonzero(~np.isnan(mates_g), axis=1)
    median_g = _medians(mates_g, mates)
    mad_g = TO_DEVIATION * _medians(np.abs(mates_g - median_g[:, None]), mates)
    away_g = mass_g - median_g
    score = np.divide(
        away_g, mad_g, out=np.where(away_g == 0, 0.0, np.nan), where=mad_g > 0
    )
    rank = 1 + np.count_nonzero(mates_g > mass_g[:, None], axis=1)
    return MateScores(mates, median_g, mad_g, score, rank)


def _medians(values: Floats, counts: Ints) -> Floats:
    """Return the median of each row's first so many values in order; NaN of none."""
    if not values.shape[1]:
        return np.full(len(values), np.nan)
    ordered = np.sort(values, axis=1)  # NaN comes last
    low = np.maximum(counts - 1, 0) // 2
    pair = np.take_along_axis(ordered, np.stack((low, counts // 2), axis=1), axis=1)
    medians: Floats = pair.mean(axis=1)
    return medians
