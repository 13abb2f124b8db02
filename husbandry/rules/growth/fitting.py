"""A growth curve through the weighings of one animal, with what speaks against it."""

from collections.abc import Mapping, Sequence
from math import isfinite, log, sqrt

import numpy as np
from numpy.typing import NDArray

from husbandry.rules.growth.curves import (
    ASYMPTOTE,
    CURVES,
    INFLECTION,
    SHAPE,
    Curve,
)
from husbandry.rules.growth.fits import (
    AsymptoteDoubt,
    Fit,
    NotFitted,
    NotFittedError,
    Parameter,
)
from husbandry.rules.growth.least_squares import Solution
from husbandry.rules.growth.quantiles import t_quantile
from husbandry.rules.growth.searching import Search, search, search_for
from husbandry.rules.vocabulary import GrowthModel

Numbers = NDArray[np.float64]

SPARE = 2
"""So many more weighings than parameters are wanted."""
AGES_PAST_INFLECTION = 3
"""At so many ages after the inflection must an animal have been weighed."""
SHARE_REACHED = 2 / 3
"""So much of its asymptote must the curve have reached at the last weighing."""
WIDEST = 0.5
"""The half of the asymptote's 95 % interval may be this share of it."""
LONGEST_DAYS = 1_000_000.0
LIGHTEST_G, HEAVIEST_G = 1e-6, 1e9
"""Beyond these a number is no age and no mass of an animal."""
ROUNDING = 1e-18
"""Squares by this share of the masses' own are rounding, not misfit."""
SINGULAR = 1e-10


def fit_growth(
    ages_days: Sequence[float],
    masses_g: Sequence[float],
    *,
    model: GrowthModel,
    fixed: Mapping[str, float] | None = None,
) -> Fit:
    """Fit a growth curve by least squares, and say whether its asymptote is supported.

    All weighings weigh the same. An asymptote is supported if the search ended inside
    its box, the weighings are enough for AICc, three or more ages lie after the
    inflection (where the curve has one), the curve has reached two thirds of the
    asymptote at the last weighing, the asymptote's 95 % interval reaches at most half
    of it to either side, and a straight line describes the weighings less well (by
    AICc). The first of these that fails is the fit's `why`.

    Args:
        ages_days: of the weighings, any order; several at one age count each.
        masses_g: as many, above zero.
        model: which curve.
        fixed: values of parameters that are known and not estimated, by name, e.g.
            `{"zero_day": 0.0}`; not the asymptote. Rate above 0, shape above -1.

    Returns:
        The fit. One that did not converge or whose asymptote is not supported holds
        its numbers as well, and says so.

    Raises:
        NotFittedError: weighings from which this curve cannot be estimated: too few
            (fewer than the parameters and 2), at too few ages (fewer than the
            parameters and 1), all alike, not rising with age (by the straight line, at
            95 %), or unable to tell the parameters apart.
        ValueError: ages and masses differ in number, or a value is no age or mass of an
            animal (a mass of 0, an age that is not finite); a fixed parameter that the
            curve does not have.

    Source:
        marquardt-1963, bates-watts-1988, `asymptote-support-convention`.
    """
    curve = CURVES[model]
    known = _checked_fixed(curve, dict(fixed or {}))
    ages, masses = checked(ages_days, masses_g)
    _refuse(ages, masses, len(curve.names) - len(known))
    wanted = search_for(curve, ages, masses, known)
    return _told(model, wanted, search(wanted))


def checked(
    ages_days: Sequence[float], masses_g: Sequence[float]
) -> tuple[Numbers, Numbers]:
    """Return ages and masses as arrays, in order of age.

    Raises:
        ValueError: they differ in number, or a value is no age or mass of an animal.
    """
    if len(ages_days) != len(masses_g):
        raise ValueError(
            f"{len(ages_days)} ages and {len(masses_g)} masses; as many are wanted."
        )
    for age, mass in zip(ages_days, masses_g, strict=True):
        if not abs(age) <= LONGEST_DAYS:
            raise ValueError(
                f"An age of {age} days; a number within ±{LONGEST_DAYS:,.0f} is wanted."
            )
        if not LIGHTEST_G <= mass <= HEAVIEST_G:
            raise ValueError(
                f"A mass of {mass} g at {age:g} days; "
                f"{LIGHTEST_G:g} to {HEAVIEST_G:,.0f} g is wanted."
            )
    points = np.array(sorted(zip(ages_days, masses_g, strict=True)), dtype=float)
    ages, masses = points.reshape(-1, 2).T
    return ages.copy(), masses.copy()


def _checked_fixed(curve: Curve, fixed: dict[str, float]) -> dict[str, float]:
    allowed = curve.names[1:]
    lowest = {"rate_per_day": 0.0, SHAPE: -1.0}
    for name, value in fixed.items():
        if name not in allowed:
            raise ValueError(f"{name!r} cannot be fixed; {', '.join(allowed)} can.")
        if not (isfinite(value) and value > lowest.get(name, -np.inf)):
            raise ValueError(f"{name} cannot be fixed at {value}.")
    return fixed


def _refuse(ages: Numbers, masses: Numbers, free: int) -> None:
    if len(ages) < free + SPARE:
        raise NotFittedError(
            NotFitted.TOO_FEW_POINTS,
            f"{len(ages)} weighings; {free + SPARE} are the least for {free} parameters.",
        )
    distinct = len(np.unique(ages))
    if distinct < free + 1:
        raise NotFittedError(
            NotFitted.TOO_FEW_AGES,
            f"Weighed at {distinct} ages; {free + 1} are the least for {free} parameters.",
        )
    if np.ptp(masses) == 0:
        raise NotFittedError(
            NotFitted.ALL_ALIKE, f"All masses are {masses[0]:g} g; no growth is seen."
        )
    _refuse_level(ages, masses)


def _refuse_level(ages: Numbers, masses: Numbers) -> None:
    """Refuse masses through which no rising line can be told from a level one."""
    centred, risen = ages - ages.mean(), masses - masses.mean()
    along = float(centred @ risen)
    if along <= 0:
        raise NotFittedError(
            NotFitted.SHRINKING, "The masses do not rise with age; no growth is seen."
        )
    explained = along**2 / float(centred @ centred)
    left = max(float(risen @ risen) - explained, 0.0)
    freedom = len(ages) - 2
    if explained * freedom <= t_quantile(freedom) ** 2 * left:
        raise NotFittedError(
            NotFitted.LEVEL,
            "The masses rise with age no more than by chance; no growth is seen.",
        )


def _told(model: GrowthModel, wanted: Search, solution: Solution) -> Fit:
    parameters = wanted.natural(solution.point)
    free = int(wanted.free.sum())
    n, residual_sum = len(wanted.ages), solution.residual_sum
    freedom = n - free
    covariance = _covariance(wanted, parameters, residual_sum / freedom)
    errors = np.sqrt(np.diagonal(covariance))
    floor = ROUNDING * float(wanted.masses @ wanted.masses)
    score = aicc(max(residual_sum, floor), n, free)
    return Fit(
        model=model,
        parameters=tuple(
            Parameter(name, float(value), float(error), bool(known))
            for name, value, error, known in zip(
                wanted.curve.names, parameters, errors, ~wanted.free, strict=True
            )
        ),
        covariance=tuple(tuple(float(c) for c in row) for row in covariance),
        residual_sum_g2=residual_sum,
        n=n,
        degrees_of_freedom=freedom,
        residual_standard_error_g=sqrt(residual_sum / freedom),
        aicc=score,
        converged=solution.converged,
        why=_doubt(wanted, solution, parameters, float(errors[0]), score),
        first_age_days=float(wanted.ages[0]),
        last_age_days=float(wanted.ages[-1]),
    )


def aicc(residual_sum: float, n: int, parameters: int) -> float | None:
    """Return Akaike's criterion of a least squares fit, corrected for few data.

    Args:
        residual_sum: of squares, above zero.
        n: how many data.
        parameters: of the curve; the variance is counted on top.

    Returns:
        n ln(RSS / n) + 2k + 2k(k + 1) / (n - k - 1), k being the parameters and 1;
        None if n - k - 1 is not above zero.

    Source:
        burnham-anderson-2002.
    """
    k = parameters + 1
    if n - k - 1 <= 0:
        return None
    return n * log(residual_sum / n) + 2 * k + 2 * k * (k + 1) / (n - k - 1)


def _covariance(wanted: Search, parameters: Numbers, variance: float) -> Numbers:
    """Return s² (JᵀJ)⁻¹ by way of the triangle of J, zero for fixed parameters."""
    jacobian = wanted.jacobian(parameters)
    lengths = np.linalg.norm(jacobian, axis=0)
    scales = np.where(lengths > 0, lengths, 1.0)
    triangle = np.linalg.qr(jacobian / scales, mode="r")
    if np.abs(np.diagonal(triangle)).min() <= SINGULAR:
        raise NotFittedError(
            NotFitted.NOT_IDENTIFIED,
            "The weighings do not tell this curve's parameters apart.",
        )
    inverse = np.linalg.inv(triangle) / scales[:, np.newaxis]
    free = np.flatnonzero(wanted.free)
    whole = np.zeros((len(parameters), len(parameters)))
    whole[np.ix_(free, free)] = variance * (inverse @ inverse.T)
    return whole


def _doubt(
    wanted: Search,
    solution: Solution,
    parameters: Numbers,
    error_g: float,
    score: float | None,
) -> AsymptoteDoubt | None:
    """Return the first thing that speaks against the asymptote."""
    named = dict(zip(wanted.curve.names, parameters, strict=True))
    ages = wanted.ages
    past = len(np.unique(ages[ages > named.get(INFLECTION, -np.inf)]))
    reached = wanted.curve.share(ages[-1], *parameters[1:])
    freedom = len(ages) - len(solution.point)
    half_width = t_quantile(freedom) * error_g / named[ASYMPTOTE]
    line = _line_aicc(ages, wanted.masses)
    bends = score is not None and line is not None and score < line
    found = {
        AsymptoteDoubt.DID_NOT_CONVERGE: not solution.converged,
        AsymptoteDoubt.RUNS_AWAY: any(solution.on_side),
        AsymptoteDoubt.TOO_FEW_POINTS: score is None,
        AsymptoteDoubt.INFLECTION_NOT_PASSED: past < AGES_PAST_INFLECTION,
        AsymptoteDoubt.TOO_FAR: reached < SHARE_REACHED,
        AsymptoteDoubt.TOO_UNCERTAIN: half_width > WIDEST,
        AsymptoteDoubt.NO_BEND: not bends,
    }
    return next((doubt for doubt, holds in found.items() if holds), None)


def _line_aicc(ages: Numbers, masses: Numbers) -> float | None:
    """Return the criterion of the straight line through the same weighings."""
    centred, risen = ages - ages.mean(), masses - masses.mean()
    explained = float(centred @ risen) ** 2 / float(centred @ centred)
    floor = ROUNDING * float(masses @ masses)
    return aicc(max(float(risen @ risen) - explained, floor), len(ages), 2)
