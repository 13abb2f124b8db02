"""What a growth curve says of a mass at an age, and of the age at a mass."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import isfinite
from sys import float_info

import numpy as np
from numpy.typing import NDArray

from husbandry.rules.growth.curves import ASYMPTOTE, CURVES, RATE
from husbandry.rules.growth.fits import Fit
from husbandry.rules.growth.quantiles import t_quantile

Numbers = NDArray[np.float64]

MARGIN = 0.1
"""So much of the span of the weighings' ages may be looked beyond them."""
LIFETIMES = 40.0
"""After so many times 1 / rate nothing is left to grow."""
STEPS = 400
HALVINGS = 60


class NotProjected(StrEnum):
    """Why a curve does not answer."""

    DID_NOT_CONVERGE = "did_not_converge"
    BEFORE_THE_WEIGHINGS = "before_the_weighings"
    ASYMPTOTE_NOT_SUPPORTED = "asymptote_not_supported"
    ABOVE_THE_ASYMPTOTE = "above_the_asymptote"
    NEAR_THE_ASYMPTOTE = "near_the_asymptote"
    NO_MASS = "no_mass"


@dataclass(frozen=True, slots=True)
class Estimate:
    """The mean mass at an age, with its 95 % interval, in grams.

    The interval is of the curve; single weighings scatter more.

    Attributes:
        age_days: which age was asked for.
        mass_g, low_g, high_g: None where `why_not` says why.
        why_not: why there is no estimate.
    """

    age_days: float
    mass_g: float | None
    low_g: float | None
    high_g: float | None
    why_not: NotProjected | None = None


@dataclass(frozen=True, slots=True)
class Projection:
    """The age at which the curve reaches a mass, with its 95 % interval, in days.

    Attributes:
        mass_g: which mass was asked for.
        age_days: None where `why_not` says why.
        low_days, high_days: the ends; None for an open end, where the curve's interval
            does not reach the mass within what may be said.
        why_not: why there is no projection.
    """

    mass_g: float
    age_days: float | None
    low_days: float | None
    high_days: float | None
    why_not: NotProjected | None = None


def mass_at(fit: Fit, age_days: float) -> Estimate:
    """Estimate the mean mass at an age; `masses_at` for one age.

    Raises:
        ValueError: the age is not finite.

    Source:
        bates-watts-1988, `asymptote-support-convention`.
    """
    return masses_at(fit, (age_days,))[0]


def masses_at(fit: Fit, ages_days: Sequence[float]) -> tuple[Estimate, ...]:
    """Estimate the mean masses at ages by the delta method.

    Between the weighings, and a tenth of their span beyond them, any curve that
    converged answers; further on only one whose asymptote is supported; further back,
    or before hatching, none. Where a curve is not above 0, it tells no mass.

    Args:
        fit: the curve.
        ages_days: any order.

    Returns:
        An estimate for each age, in the same order; its low end is not below 0.

    Raises:
        ValueError: an age is not finite.

    Source:
        bates-watts-1988, `asymptote-support-convention`.
    """
    for age in ages_days:
        if not isfinite(age):
            raise ValueError(f"An age of {age} days; a finite number is wanted.")
    ages = np.array(ages_days, dtype=float)
    means, halves = _band(fit, ages)
    return tuple(
        Estimate(age, None, None, None, why_not)
        if (why_not := _silent_at(fit, age) or _no_mass(mean))
        else Estimate(age, mean, max(0.0, mean - half), mean + half)
        for age, mean, half in zip(
            ages.tolist(), means.tolist(), halves.tolist(), strict=True
        )
    )


def age_at_mass(fit: Fit, *, mass_g: float) -> Projection:
    """Project the age at which the curve reaches a mass.

    The interval is where the 95 % band of the mean curve holds the mass: it begins
    where the upper edge reaches it and ends where the lower edge does.

    Args:
        fit: the curve.
        mass_g: above 0.

    Returns:
        The projection, or why none is given: the curve did not converge; the mass is
        beyond the asymptote's 95 % interval, or within it but not below the asymptote;
        the age would be before the weighings or before hatching; or beyond them, and
        the asymptote is not supported.

    Raises:
        ValueError: the mass is not finite or not above 0.

    Source:
        bates-watts-1988, `asymptote-support-convention`.
    """
    if not (isfinite(mass_g) and mass_g > 0):
        raise ValueError(f"A mass of {mass_g} g; a finite number above 0 is wanted.")
    share = max(mass_g / fit.parameter(ASYMPTOTE).value, float_info.min)
    if share >= 1:
        return Projection(mass_g, None, None, None, _above(fit, mass_g))
    age = CURVES[fit.model].age_at_share(share, *fit.values[1:])
    if why_not := _silent_at(fit, age):
        return Projection(mass_g, None, None, None, why_not)
    return Projection(
        mass_g, age, _first_age(fit, mass_g, age), _last_age(fit, mass_g, age)
    )


def _above(fit: Fit, mass_g: float) -> NotProjected:
    if not fit.converged:
        return NotProjected.DID_NOT_CONVERGE
    if not fit.asymptote_supported:
        return NotProjected.ASYMPTOTE_NOT_SUPPORTED
    if mass_g <= fit.asymptote_interval_g[1]:
        return NotProjected.NEAR_THE_ASYMPTOTE
    return NotProjected.ABOVE_THE_ASYMPTOTE


def _silent_at(fit: Fit, age: float) -> NotProjected | None:
    earliest, latest = _said_between(fit)
    if not fit.converged:
        return NotProjected.DID_NOT_CONVERGE
    if age < earliest:
        return NotProjected.BEFORE_THE_WEIGHINGS
    if age > latest:
        return NotProjected.ASYMPTOTE_NOT_SUPPORTED
    return None


def _no_mass(mean_g: float) -> NotProjected | None:
    """Say why a mass is none: one of the curves is below 0 before its zero day."""
    return None if mean_g > 0 else NotProjected.NO_MASS


def _said_between(fit: Fit) -> tuple[float, float]:
    """Return the ages between which the curve answers; none is before hatching."""
    margin = MARGIN * (fit.last_age_days - fit.first_age_days)
    earliest = max(fit.first_age_days - margin, min(fit.first_age_days, 0.0))
    latest = np.inf if fit.asymptote_supported else fit.last_age_days + margin
    return earliest, float(latest)


def _band(fit: Fit, ages: Numbers) -> tuple[Numbers, Numbers]:
    """Return the curve at ages, and half the width of its 95 % band."""
    curve, parameters = CURVES[fit.model], np.array(fit.values)
    slopes = curve.jacobian(parameters, ages)
    variances = np.einsum("ij,jk,ik->i", slopes, np.array(fit.covariance), slopes)
    errors = np.sqrt(np.maximum(variances, 0.0))
    return curve.values(parameters, ages), t_quantile(fit.degrees_of_freedom) * errors


def _first_age(fit: Fit, mass_g: float, age: float) -> float | None:
    """Return the last age up to `age` at which the upper edge still is below."""
    ages = np.linspace(age, _said_between(fit)[0], STEPS)

    def below(at: Numbers) -> NDArray[np.bool_]:
        mean, half = _band(fit, at)
        return mean + half < mass_g

    return _turn(below, ages)


def _last_age(fit: Fit, mass_g: float, age: float) -> float | None:
    """Return the first age from `age` on at which the lower edge has reached it."""
    end = max(age, fit.last_age_days) + LIFETIMES / fit.parameter(RATE).value
    ages = np.linspace(0, 1, STEPS) ** 3
    ages = age + (min(end, _said_between(fit)[1]) - age) * ages

    def reached(at: Numbers) -> NDArray[np.bool_]:
        mean, half = _band(fit, at)
        return mean - half > mass_g

    return _turn(reached, ages)


def _turn(holds: Callable[[Numbers], NDArray[np.bool_]], ages: Numbers) -> float | None:
    """Return where along the ages a condition first holds, to rounding; None if not."""
    there = np.flatnonzero(holds(ages))
    if not len(there):
        return None
    place = int(there[0])
    before, after = float(ages[max(place - 1, 0)]), float(ages[place])
    for _ in range(HALVINGS):
        middle = (before + after) / 2
        if holds(np.array([middle]))[0]:
            after = middle
        else:
            before = middle
    return after
