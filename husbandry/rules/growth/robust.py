"""Robust trends of thousands of animals at once: the slopes of `trends.theil_sen`."""

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from husbandry.rules.growth.herds import WeighedHerd
from husbandry.rules.trends import Slope
from husbandry.rules.weight_series import DAY_S

# So many pairs are held at a time: whole arrays of them would not fit the cache.
PAIRS_AT_ONCE = 2**18

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Trends:
    """Theil–Sen slopes and their intervals, one for each row.

    Attributes:
        slope: [n], units of y by unit of x; NaN where two places are lacking.
        low, high: [n], the interval's ends; infinite where too few points bound it.
        weighings: [n], how many points were used.
    """

    slope: Floats
    low: Floats
    high: Floats
    weighings: Ints

    def of(self, row: int) -> Slope | None:
        """Return one row's trend; None where it has none."""
        if np.isnan(self.slope[row]):
            return None
        return Slope(
            slope=float(self.slope[row]),
            low=float(self.low[row]),
            high=float(self.high[row]),
            n=int(self.weighings[row]),
        )


def trends_of(
    herd: WeighedHerd, *, window_days: int, confidence: float = 0.95
) -> Trends:
    """Return the trend of each animal's mass, in grams a day.

    Args:
        herd: weighings in force.
        window_days: over so many local days up to each animal's last weighing, both
            included.
        confidence: of the interval, between 0 and 1.

    Returns:
        One row an animal, in the herd's order; without two weighings at different
        instants of the window its slope is NaN.

    Source:
        sen-1968, theil-1950.
    """
    places = _window(herd, window_days)
    counts = herd.starts[1:] - places
    found = _nothing(len(herd), counts)
    for n in np.unique(counts[counts > 1]).tolist():
        rows = np.flatnonzero(counts == n)
        taken = places[rows, None] + np.arange(n)
        at_s = herd.at_s[taken]
        days = (at_s - at_s[:, :1]) / DAY_S
        same = theil_sen_rows(days, herd.mass_g[taken], confidence=confidence)
        found.slope[rows], found.low[rows] = same.slope, same.low
        found.high[rows] = same.high
    return found


def theil_sen_rows(x: Floats, y: Floats, *, confidence: float = 0.95) -> Trends:
    """Estimate the trend of many rows of equally many points.

    Args:
        x: [m, n], places of the points, in any order; pairs at one place are left
            out.
        y: [m, n], their values.
        confidence: of the interval, between 0 and 1.

    Returns:
        [m], what `trends.theil_sen` says of each row; NaN where it finds no slope.

    Raises:
        ValueError: the shapes differ, or the confidence is not between 0 and 1.

    Source:
        sen-1968, theil-1950.
    """
    if x.shape != y.shape:
        raise ValueError(f"x is {x.shape} and y is {y.shape}; they must be alike.")
    if not 0 < confidence < 1:
        raise ValueError(f"A confidence of {confidence} is not between 0 and 1.")
    rows, n = x.shape
    found = _nothing(rows, np.full(rows, n))
    if n < 2:
        return found
    step = max(1, PAIRS_AT_ONCE // (n * (n - 1) // 2))
    for begin in range(0, rows, step):
        block = slice(begin, begin + step)
        half_width = NormalDist().inv_cdf((1 + confidence) / 2) * _spread(
            x[block], y[block]
        )
        found.slope[block], found.low[block], found.high[block] = _ranked(
            _slopes(x[block], y[block]), half_width
        )
    return found


def _nothing(rows: int, counts: Ints) -> Trends:
    empty = np.full((3, rows), np.nan)
    return Trends(empty[0], empty[1], empty[2], counts)


def _window(herd: WeighedHerd, window_days: int) -> Ints:
    """Return the place of the first weighing of each animal's window."""
    weighed = herd.counts > 0
    last_day = np.zeros(len(herd), np.int64)
    last_day[weighed] = herd.day[herd.starts[1:][weighed] - 1]
    owner = np.repeat(np.arange(len(herd)), herd.counts)
    before = herd.day < (last_day - window_days)[owner]
    skipped = np.bincount(owner[before], minlength=len(herd))
    places: Ints = herd.starts[:-1] + skipped
    return places


def _slopes(x: Floats, y: Floats) -> Floats:
    """Return the slopes between all pairs of each row in order, NaN at the end."""
    first, second = np.triu_indices(x.shape[1], 1)
    run = x[:, second] - x[:, first]
    run[run == 0] = np.nan
    slopes: Floats = (y[:, second] - y[:, first]) / run
    slopes.sort(axis=1)
    return slopes


def _ranked(slopes: Floats, half_width: Floats) -> tuple[Floats, Floats, Floats]:
    """Return median, low end and high end of each row of slopes."""
    pairs = np.count_nonzero(~np.isnan(slopes), axis=1)
    # A row without a slope begins with NaN, and keeps it.
    median = (_at(slopes, (pairs - 1) // 2) + _at(slopes, pairs // 2)) / 2
    low = np.rint((pairs - half_width) / 2).astype(np.int64) - 1
    high = np.rint((pairs + half_width) / 2).astype(np.int64)
    none = pairs == 0
    lows = np.where(low >= 0, _at(slopes, low), -np.inf)
    highs = np.where(high < pairs, _at(slopes, high), np.inf)
    return (
        median,
        np.where(none, np.nan, lows),
        np.where(none, np.nan, highs),
    )


def _at(slopes: Floats, ranks: Ints) -> Floats:
    """Return the slope at a rank of each row; a rank beyond it stays inside."""
    inside = np.clip(ranks, 0, slopes.shape[1] - 1)
    picked: Floats = np.take_along_axis(slopes, inside[:, None], axis=1)[:, 0]
    return picked


def _spread(x: Floats, y: Floats) -> Floats:
    """Return the standard deviation of Kendall's statistic for each row."""
    n = x.shape[1]
    ties = _tied(x) + _tied(y)
    spread: Floats = np.sqrt(np.maximum(0, n * (n - 1) * (2 * n + 5) - ties) / 18)
    return spread


def _tied(values: Floats) -> Ints:
    """Return the sum of k·(k − 1)·(2k + 5) over the groups of equal values of a row."""
    rows, n = values.shape
    ordered = np.sort(values, axis=1)
    begins = np.ones((rows, n), np.bool_)
    begins[:, 1:] = ordered[:, 1:] != ordered[:, :-1]
    places = np.flatnonzero(begins)
    k = np.diff(places, append=rows * n)
    tied = np.bincount(places // n, weights=k * (k - 1) * (2 * k + 5), minlength=rows)
    return tied.astype(np.int64)
