"""How far clutches lay from what was expected of them, and the window that makes."""

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from math import floor, sqrt

import numpy as np

from clutches.rules.facts import Floats
from clutches.rules.forecasting.windows import WindowDays
from husbandry.rules.growth.quantiles import t_quantile

COVERAGE = Fraction(9, 10)
LEAST_FOR_SPREAD = 3


class SpreadMethod(StrEnum):
    """By what a window's ends are found."""

    T_QUANTILES = "t_quantiles"
    ORDER_STATISTICS = "order_statistics"


@dataclass(frozen=True, slots=True)
class Misses:
    """Days between what happened and what was expected, clutch by clutch.

    Attributes:
        first, middle, last: of the first egg, of the median egg, of the last egg;
            positive: it hatched later than expected.
    """

    first: Floats
    middle: Floats
    last: Floats


@dataclass(frozen=True, slots=True)
class Spread:
    """What is added to an expected day to make a window, in days.

    Attributes:
        clutches: from how many.
    """

    early: float
    likely: float
    late: float
    method: SpreadMethod
    clutches: int

    def around(self, expected: float) -> WindowDays:
        """Return the window about an expected day since laying."""
        return WindowDays(
            expected + self.early, expected + self.likely, expected + self.late
        )


def spread_of(misses: Misses) -> Spread | None:
    """Return how wide a window must be to hold nine clutches of ten.

    Each end is to fail for one clutch in twenty: the early one for the first egg, the
    late one for the last. With 19 clutches or more an end is one of their own misses
    (for any shape of the distribution, if the next clutch is like the others); with
    fewer it is the prediction by Student's t, which takes them for normal.

    Args:
        misses: of clutches that were not used to expect them.

    Returns:
        None with fewer than three clutches. Never narrower than half of the clutches
        took from their first egg to their last.

    Source:
        vovk-2005 for order statistics; abramowitz-stegun for t; ADR 0013.
    """
    count = len(misses.middle)
    if count < LEAST_FOR_SPREAD:
        return None
    place = floor((count + 1) * (1 - COVERAGE) / 2)
    if place:
        method = SpreadMethod.ORDER_STATISTICS
        early = float(np.sort(misses.first)[place - 1])
        late = float(np.sort(misses.last)[count - place])
        likely = float(np.median(misses.middle))
    else:
        method = SpreadMethod.T_QUANTILES
        early, late = _by_t(misses.first)[0], _by_t(misses.last)[1]
        likely = float(misses.middle.mean())
    late = max(late, early + float(np.median(misses.last - misses.first)))
    return Spread(early, min(max(likely, early), late), late, method, count)


def _by_t(values: Floats) -> tuple[float, float]:
    count = len(values)
    wide = t_quantile(count - 1, float(COVERAGE)) * sqrt(1 + 1 / count)
    mean, off = float(values.mean()), wide * float(values.std(ddof=1))
    return mean - off, mean + off
