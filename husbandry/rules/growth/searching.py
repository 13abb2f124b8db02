"""Where a search for a growth curve begins, how far it may go, and how it steps."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from husbandry.rules.growth.curves import ASYMPTOTE, RATE, SHAPE, Curve
from husbandry.rules.growth.least_squares import Problem, Solution, descend

Numbers = NDArray[np.float64]
Mask = NDArray[np.bool_]

STARTS = 3
"""At most so many of the grid's hollows are searched, the deepest first."""
ALIKE = 1e-6
"""Two searches whose sums of squares agree to this share have found the same."""
RATES = np.geomspace(0.05, 200, 15)
"""Rates of the grid, by 1 / span of the ages."""
SHAPES = np.array([-0.6, 0.0, 1.0, 3.0])
PLACES_BEYOND = np.array([-1.0, -0.6, -0.3, -0.1, -0.03, 1.15, 1.4, 1.8, 2.5])
PLACES_WITHIN = np.linspace(0, 1, 9)

# The box, by the largest mass and the span of the ages. Outside it a curve cannot be
# told from an exponential, a straight line or a step; with a shape above 4 growth is
# fastest beyond two thirds of the final mass and then stops at once.
ASYMPTOTES = (0.1, 100.0)
RATES_ALLOWED = (0.01, 2000.0)
PLACES_ALLOWED = (-20.0, 20.0)
SHAPES_ALLOWED = (-0.95, 4.0)


@dataclass(frozen=True, slots=True, eq=False)
class Search:
    """A curve to be fitted to weighings; some of its parameters may be held fixed.

    The walk goes in the logarithms of asymptote, rate and 1 + shape, so that none of
    them gets to where it cannot be, and in spans of the ages for days.

    Attributes:
        curve: with its parameters in order; the arrays below follow that order.
        ages, masses: in days, in order, not all alike; in grams, above zero.
        fixed: the values that are held, NaN where a parameter is searched.
        scale, offset, logarithmic: a value is offset + scale × coordinate, or
            × exp(coordinate) where logarithmic.
    """

    curve: Curve
    ages: Numbers
    masses: Numbers
    fixed: Numbers
    scale: Numbers
    offset: Numbers
    logarithmic: Mask

    @property
    def free(self) -> Mask:
        """Return which parameters are searched."""
        found: Mask = np.isnan(self.fixed)
        return found

    def natural(self, point: Numbers) -> Numbers:
        """Return all parameters, as they are named, at a point of the walk."""
        free = self.free
        moved = np.where(self.logarithmic[free], np.exp(point), point)
        found = self.fixed.copy()
        found[free] = self.offset[free] + self.scale[free] * moved
        return found

    def walked(self, parameters: Numbers) -> Numbers:
        """Return the point of the walk that parameters stand for."""
        free = self.free
        moved = (parameters[free] - self.offset[free]) / self.scale[free]
        logarithmic = self.logarithmic[free]
        return np.where(logarithmic, np.log(np.where(logarithmic, moved, 1)), moved)

    def jacobian(self, parameters: Numbers) -> Numbers:
        """Return the derivatives by the searched parameters, as they are named."""
        return self.curve.jacobian(parameters, self.ages)[:, self.free]

    def problem(self) -> Problem:
        """Return the least squares to be solved, in the coordinates of the walk."""
        low, high = zip(*map(_limits, self.curve.names), strict=True)

        def values(point: Numbers) -> Numbers:
            return self.curve.values(self.natural(point), self.ages)

        def jacobian(point: Numbers) -> Numbers:
            parameters = self.natural(point)
            stride = np.where(self.logarithmic, parameters - self.offset, self.scale)
            return self.jacobian(parameters) * stride[self.free]

        free = self.free
        return Problem(
            self.masses, values, jacobian, np.array(low)[free], np.array(high)[free]
        )


def search_for(
    curve: Curve, ages: Numbers, masses: Numbers, fixed: Mapping[str, float]
) -> Search:
    """Return the search for a curve, scaled by the weighings.

    Args:
        curve: which curve.
        ages: in days, in order, not all alike.
        masses: in grams, above zero.
        fixed: values of parameters that are not searched, by name; not the asymptote.
    """
    names = curve.names
    first, span, largest = ages[0], ages[-1] - ages[0], masses.max()
    scales = {ASYMPTOTE: largest, RATE: 1 / span, SHAPE: 1.0}
    offsets = {ASYMPTOTE: 0.0, RATE: 0.0, SHAPE: -1.0}
    return Search(
        curve=curve,
        ages=ages,
        masses=masses,
        fixed=np.array([fixed.get(name, np.nan) for name in names]),
        scale=np.array([scales.get(name, span) for name in names]),
        offset=np.array([offsets.get(name, first) for name in names]),
        logarithmic=np.array([name in scales for name in names]),
    )


def _limits(name: str) -> tuple[float, float]:
    if name == SHAPE:
        return float(np.log1p(SHAPES_ALLOWED[0])), float(np.log1p(SHAPES_ALLOWED[1]))
    if name not in (ASYMPTOTE, RATE):
        return PLACES_ALLOWED
    low, high = ASYMPTOTES if name == ASYMPTOTE else RATES_ALLOWED
    return float(np.log(low)), float(np.log(high))


def search(wanted: Search) -> Solution:
    """Search from several starts and return the lowest place that was found.

    Returns:
        The solution with the smallest sum of squares; of several as small, one that
        converged. Two searches that agree are enough.
    """
    problem = wanted.problem()
    found: list[Solution] = []
    for start in starts(wanted):
        found.append(descend(problem, wanted.walked(start)))
        if len(found) > 1 and _agree(found[-2], found[-1]):
            break
    least = min(s.residual_sum for s in found) * (1 + ALIKE)
    as_small = [s for s in found if s.residual_sum <= least]
    return min(as_small, key=lambda s: (not s.converged, s.residual_sum))


def _agree(one: Solution, other: Solution) -> bool:
    apart = abs(one.residual_sum - other.residual_sum)
    return (
        one.converged
        and other.converged
        and apart <= ALIKE * max(one.residual_sum, other.residual_sum)
    )


def starts(wanted: Search) -> list[Numbers]:
    """Return the hollows of a grid over all parameters but the asymptote.

    At every place of the grid the asymptote is solved for, which is linear; places
    whose asymptote is outside the box are no starts.

    Returns:
        All parameters of each hollow, the deepest first; at least one.

    Source:
        golub-pereyra-1973.
    """
    axes = [
        _axis(name, fixed, wanted.ages)
        for name, fixed in zip(wanted.curve.names[1:], wanted.fixed[1:], strict=True)
    ]
    grid = np.meshgrid(*axes, indexing="ij", sparse=True)
    shares = wanted.curve.share(wanted.ages, *(g[..., np.newaxis] for g in grid))
    along = shares @ wanted.masses
    own = np.einsum("...i,...i", shares, shares)
    fits = (along > 0) & (own > 0)
    asymptotes = np.where(fits, along, 1.0) / np.where(fits, own, 1.0)
    largest = wanted.masses.max()
    fits &= (asymptotes >= ASYMPTOTES[0] * largest) & (
        asymptotes <= ASYMPTOTES[1] * largest
    )
    gains = np.where(fits, asymptotes * along, 0.0)
    peaks = sorted(_peaks(gains), key=lambda at: -gains[at])[:STARTS]
    return [
        np.array([asymptotes[at], *(a[i] for a, i in zip(axes, at, strict=True))])
        for at in peaks
    ]


def _axis(name: str, fixed: float, ages: Numbers) -> Numbers:
    if not np.isnan(fixed):
        return np.array([fixed])
    first, span = ages[0], ages[-1] - ages[0]
    if name == RATE:
        found: Numbers = RATES / span
        return found
    if name == SHAPE:
        return SHAPES
    within = np.quantile(ages, PLACES_WITHIN)
    return np.unique(np.r_[within, first + PLACES_BEYOND * span])


def _peaks(gains: Numbers) -> list[tuple[int, ...]]:
    """Return the places that no neighbour along an axis exceeds."""
    padded = np.pad(gains, 1, constant_values=-1.0)
    inner = tuple(slice(1, -1) for _ in gains.shape)
    peak = gains > 0
    for axis, shift in product(range(gains.ndim), (-1, 1)):
        peak &= gains >= np.roll(padded, shift, axis=axis)[inner]
    return [tuple(int(i) for i in at) for at in np.argwhere(peak)]
