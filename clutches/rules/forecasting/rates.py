"""Development as degree-days: 1/days = (temperature − zero) / degree-days."""

from dataclasses import dataclass
from math import isfinite, sqrt

import numpy as np

from clutches.rules.facts import Floats
from husbandry.rules.growth.quantiles import t_quantile

LEAST_CLUTCHES = 5
LEAST_APART_C = 1.0
CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True)
class Rate:
    """How fast embryos develop.

    Attributes:
        zero_c: °C at and below which development stands still.
        degree_days: °C above zero × days from the end of the rest to hatching.
        zero_low_c, zero_high_c: 95 % interval of a fitted zero; None: not fitted.
    """

    zero_c: float
    degree_days: float
    zero_low_c: float | None = None
    zero_high_c: float | None = None

    def days_at(self, celsius: float) -> float | None:
        """Return how long development takes at one temperature; None: for ever.

        Args:
            celsius: °C, held all the time.
        """
        above = celsius - self.zero_c
        return self.degree_days / above if above > 0 else None


def line_of_rates(mean_c: Floats, days: Floats) -> Rate | None:
    """Fit the linear rate of development to clutches that hatched.

    Weighted least squares of 1/days on temperature, each weighted by the square of
    its days: that is, errors in the same proportion of the time taken. Through two
    clutches it is the line through both.

    Args:
        mean_c: mean °C of each clutch from the end of its rest to hatching.
        days: how long that was, each above 0; as many, at least two.

    Returns:
        Zero, degree-days and the interval of zero by Fieller's theorem, which has
        ends only where the slope differs from nothing. None where all temperatures
        are equal, where warmer clutches did not develop faster, or where the line
        says that the coolest did not develop at all.

    Source:
        takydromus-2005 for the form; weights: house rule; fieller-1954.
    """
    slope, level, covariance = _fitted(mean_c, days)
    if not isfinite(slope) or slope <= 0 or level + slope * float(mean_c.min()) <= 0:
        return None
    low, high = _zero_interval(slope, level, covariance, len(days) - 2)
    return Rate(-level / slope, 1 / slope, low, high)


def supported_line(mean_c: Floats, days: Floats) -> Rate | None:
    """Fit the rate only where clutches can tell zero and degree-days apart.

    Args:
        mean_c: as `line_of_rates` takes it; any number of clutches.
        days: likewise.

    Returns:
        None with fewer than five clutches, where temperatures lie less than 1 °C
        apart once any one clutch is left out, so that a single one would carry the
        slope, or where the slope could be nothing at 95 %.

    Source:
        ADR 0013.
    """
    if len(days) < LEAST_CLUTCHES:
        return None
    ordered = np.sort(mean_c)
    if min(ordered[-1] - ordered[1], ordered[-2] - ordered[0]) < LEAST_APART_C:
        return None
    rate = line_of_rates(mean_c, days)
    return None if rate is None or rate.zero_low_c is None else rate


def degree_days_of(mean_c: Floats, days: Floats, *, zero_c: float) -> Rate | None:
    """Return the rate by a zero that somebody states: the mean of what clutches took.

    Args:
        mean_c: as `line_of_rates` takes it; of at least one clutch.
        days: likewise.
        zero_c: the stated zero.

    Returns:
        None where a clutch hatched that, by that zero, cannot have developed.

    Source:
        ADR 0013.
    """
    took = (mean_c - zero_c) * days
    if not len(took) or took.min() <= 0:
        return None
    return Rate(zero_c, float(took.mean()))


def _fitted(mean_c: Floats, days: Floats) -> tuple[float, float, Floats]:
    """Return slope, level at 0 °C, and their covariance over the residual variance."""
    weights = days**2
    total = weights.sum()
    centre = float((weights * mean_c).sum() / total)
    off = mean_c - centre
    squares = float((weights * off**2).sum())
    if squares < 1e-12 * total:
        return np.nan, np.nan, np.zeros((2, 2))
    rates = 1 / days
    slope = float((weights * off * rates).sum() / squares)
    middle = float((weights * rates).sum() / total)
    left = float((weights * (rates - middle - slope * off) ** 2).sum())
    variance = left / (len(days) - 2) if len(days) > 2 else 0.0
    covariance = variance * np.array(
        [
            [1 / squares, -centre / squares],
            [-centre / squares, 1 / total + centre**2 / squares],
        ]
    )
    return slope, middle - slope * centre, covariance


def _zero_interval(
    slope: float, level: float, covariance: Floats, freedom: int
) -> tuple[float | None, float | None]:
    """Return between which zeros the line can cross nothing; None: it has no ends."""
    if freedom < 1:
        return None, None
    square = t_quantile(freedom, CONFIDENCE) ** 2
    a = slope**2 - square * float(covariance[0, 0])
    b = slope * level - square * float(covariance[0, 1])
    c = level**2 - square * float(covariance[1, 1])
    if a <= 0:
        return None, None
    root = sqrt(max(b * b - a * c, 0.0))
    return (-b - root) / a, (-b + root) / a
