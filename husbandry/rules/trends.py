"""A trend that one bad weighing cannot bend: the median of all slopes between pairs."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import inf, isnan, sqrt
from statistics import NormalDist, median


class NoSlopeError(ValueError):
    """Fewer than two points at different places have no slope."""


@dataclass(frozen=True, slots=True)
class Slope:
    """A Theil–Sen slope and its confidence interval, in units of y by unit of x.

    Attributes:
        slope: the median of the slopes between all pairs of points.
        low, high: the interval's ends; infinite where the points are too few to
            bound the slope at the wanted confidence (below five, at 95 %).
        n: how many points were used.
    """

    slope: float
    low: float
    high: float
    n: int


def theil_sen(
    x: Sequence[float], y: Sequence[float | None], confidence: float = 0.95
) -> Slope:
    """Estimate a straight trend by the median of all slopes between pairs.

    Args:
        x: places of the points, in any order; pairs at one place are left out.
        y: values, as many as `x`; None and NaN are missing, their points dropped.
        confidence: of the interval, between 0 and 1.

    Returns:
        The slope, with Sen's interval from the normal approximation to Kendall's
        statistic, its variance corrected for ties.

    Raises:
        NoSlopeError: fewer than two points at different places are left.
        ValueError: `x` and `y` differ in length, or the confidence is not between
            0 and 1.

    Source:
        sen-1968, theil-1950.
    """
    if not 0 < confidence < 1:
        raise ValueError(f"A confidence of {confidence} is not between 0 and 1.")
    points = [
        (a, b)
        for a, b in zip(x, y, strict=True)
        if b is not None and not isnan(a) and not isnan(b)
    ]
    slopes = sorted(
        (d - b) / (c - a) for (a, b), (c, d) in combinations(points, 2) if a != c
    )
    if not slopes:
        raise NoSlopeError(f"{len(points)} points at one place have no slope.")
    half_width = NormalDist().inv_cdf((1 + confidence) / 2) * _spread(points)
    low = round((len(slopes) - half_width) / 2) - 1
    high = round((len(slopes) + half_width) / 2)
    return Slope(
        slope=median(slopes),
        low=slopes[low] if low >= 0 else -inf,
        high=slopes[high] if high < len(slopes) else inf,
        n=len(points),
    )


def _spread(points: Sequence[tuple[float, float]]) -> float:
    """Return the standard deviation of Kendall's statistic for these points."""
    n = len(points)
    ties = _tied(a for a, _ in points) + _tied(b for _, b in points)
    return sqrt(max(0, n * (n - 1) * (2 * n + 5) - ties) / 18)


def _tied(values: Iterable[float]) -> int:
    return sum(k * (k - 1) * (2 * k + 5) for k in Counter(values).values())
