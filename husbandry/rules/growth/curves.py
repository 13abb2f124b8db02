"""Four curves that growth may follow: values, slopes by parameter, and inverses."""

from collections.abc import Callable
from dataclasses import dataclass
from math import expm1, log, log1p

import numpy as np
from numpy.typing import NDArray

from husbandry.rules.vocabulary import GrowthModel

Numbers = NDArray[np.float64]

ASYMPTOTE = "asymptote_g"
RATE = "rate_per_day"
INFLECTION = "inflection_day"
ZERO = "zero_day"
SHAPE = "shape"

# e^300 and its square are still finite; no curve can be told from its end so far out.
STEEPEST = 300.0
# Below this the difference in the slope by shape loses digits, and its series does not.
SERIES_BELOW = 1e-2
SERIES = [(-1.0) ** n * (n + 1) / (n + 2) for n in range(9)]


@dataclass(frozen=True, slots=True)
class Curve:
    """A curve: the asymptote times a share that depends on the other parameters.

    Attributes:
        names: of the parameters, in their order: `asymptote_g` (g), `rate_per_day`
            (1/day), then `inflection_day` or `zero_day` (days of age) and, of
            Richards only, `shape` (no unit).
        share: the share of the asymptote reached, of ages and the parameters after
            the asymptote; any shapes that broadcast.
        slopes: the share, and its derivatives by the parameters after the asymptote.
        age_at_share: the age in days at which a share between 0 and 1 is reached.
    """

    names: tuple[str, ...]
    share: Callable[..., Numbers]
    slopes: Callable[..., tuple[Numbers, ...]]
    age_at_share: Callable[..., float]

    def values(self, parameters: Numbers, ages: Numbers) -> Numbers:
        """Return the masses in grams at ages in days.

        Args:
            parameters: in the order of `names`; rate above 0, shape above -1.
            ages: one dimension, any order, any sign.
        """
        found: Numbers = parameters[0] * self.share(ages, *parameters[1:])
        return found

    def jacobian(self, parameters: Numbers, ages: Numbers) -> Numbers:
        """Return the derivatives of the masses, a row per age, a column per parameter.

        Args:
            parameters: in the order of `names`.
            ages: one dimension.
        """
        share, *slopes = self.slopes(ages, *parameters[1:])
        return np.stack([share, *(parameters[0] * s for s in slopes)], axis=-1)


def _decay(ages: Numbers, rate: Numbers, place: Numbers) -> Numbers:
    exponent = np.clip(rate * (place - ages), -STEEPEST, STEEPEST)
    found: Numbers = np.exp(exponent)
    return found


def logistic_share(ages: Numbers, rate: Numbers, inflection: Numbers) -> Numbers:
    """Return 1 / (1 + exp(-K (t - t*))).

    Args:
        ages: t in days.
        rate: K per day.
        inflection: t*, the age in days of fastest growth, where the share is 1/2.

    Source:
        brey-handbook.
    """
    found: Numbers = 1 / (1 + _decay(ages, rate, inflection))
    return found


def logistic_slopes(
    ages: Numbers, rate: Numbers, inflection: Numbers
) -> tuple[Numbers, ...]:
    """Return the logistic share and its derivatives by rate and inflection.

    Source:
        brey-handbook, differentiated.
    """
    share = logistic_share(ages, rate, inflection)
    steep = share * _decay(ages, rate, inflection) * share
    return share, (ages - inflection) * steep, -rate * steep


def gompertz_share(ages: Numbers, rate: Numbers, inflection: Numbers) -> Numbers:
    """Return exp(-exp(-K (t - t*))).

    Args:
        ages: t in days.
        rate: K per day.
        inflection: t*, the age in days of fastest growth, where the share is 1/e.

    Source:
        brey-handbook.
    """
    found: Numbers = np.exp(-_decay(ages, rate, inflection))
    return found


def gompertz_slopes(
    ages: Numbers, rate: Numbers, inflection: Numbers
) -> tuple[Numbers, ...]:
    """Return the Gompertz share and its derivatives by rate and inflection.

    Source:
        brey-handbook, differentiated.
    """
    decay = _decay(ages, rate, inflection)
    share = np.exp(-decay)
    steep = share * decay
    return share, (ages - inflection) * steep, -rate * steep


def bertalanffy_share(ages: Numbers, rate: Numbers, zero: Numbers) -> Numbers:
    """Return 1 - exp(-K (t - t0)): no inflection, below zero before t0.

    Args:
        ages: t in days.
        rate: K per day.
        zero: t0, the age in days at which the curve has no mass.

    Source:
        brey-handbook.
    """
    exponent = np.clip(rate * (zero - ages), -STEEPEST, STEEPEST)
    found: Numbers = -np.expm1(exponent)
    return found


def bertalanffy_slopes(
    ages: Numbers, rate: Numbers, zero: Numbers
) -> tuple[Numbers, ...]:
    """Return the von Bertalanffy share and its derivatives by rate and zero day.

    Source:
        brey-handbook, differentiated.
    """
    steep = _decay(ages, rate, zero)
    share = bertalanffy_share(ages, rate, zero)
    return share, (ages - zero) * steep, -rate * steep


def richards_share(
    ages: Numbers, rate: Numbers, inflection: Numbers, shape: Numbers
) -> Numbers:
    """Return (1 + v exp(-K (t - t*)))^(-1/v), with v the shape.

    So written, t* is the age of fastest growth whatever the shape. Shape 1 is the
    logistic curve, shape 0 the Gompertz curve (the limit), shape towards -1 the von
    Bertalanffy curve. Below shape 0 the curve starts at an age; before it, it is 0.

    Args:
        ages: t in days.
        rate: K per day.
        inflection: t*, the age in days of fastest growth.
        shape: above -1.

    Source:
        richards-1959.
    """
    return _richards(ages, rate, inflection, shape)[0]


def _richards(
    ages: Numbers, rate: Numbers, inflection: Numbers, shape: Numbers
) -> tuple[Numbers, Numbers, Numbers]:
    """Return the share, the decay and the shape times the decay."""
    decay = _decay(ages, rate, inflection)
    bent = np.asarray(shape * decay)
    begun = bent > -1
    bent = np.where(begun, bent, 0.0)
    # log(1 + vu) / v is u where v is 0 or too small to matter.
    small = np.abs(bent) < np.finfo(float).tiny
    power = np.where(small, decay, np.log1p(bent) / np.where(small, 1.0, bent) * decay)
    share = np.where(begun, np.exp(-power), 0.0)
    return share, decay, bent


def richards_slopes(
    ages: Numbers, rate: Numbers, inflection: Numbers, shape: Numbers
) -> tuple[Numbers, ...]:
    """Return the Richards share and its derivatives by rate, inflection and shape.

    Source:
        richards-1959, differentiated.
    """
    share, decay, bent = _richards(ages, rate, inflection, shape)
    steep = share * decay / (1 + bent)
    by_shape = share * decay * decay * _shape_factor(bent)
    return share, (ages - inflection) * steep, -rate * steep, by_shape


def _shape_factor(bent: Numbers) -> Numbers:
    """Return (log(1 + w) - w / (1 + w)) / w², by its series where w is small."""
    small = np.abs(bent) < SERIES_BELOW
    safe = np.where(small, 1.0, bent)
    exact = (np.log1p(safe) - safe / (1 + safe)) / safe**2
    series = np.polynomial.polynomial.polyval(np.where(small, bent, 0.0), SERIES)
    return np.where(small, series, exact)


def _logistic_age(share: float, rate: float, inflection: float) -> float:
    return inflection - log(1 / share - 1) / rate


def _gompertz_age(share: float, rate: float, inflection: float) -> float:
    return inflection - log(-log(share)) / rate


def _bertalanffy_age(share: float, rate: float, zero: float) -> float:
    return zero - log1p(-share) / rate


def _richards_age(share: float, rate: float, inflection: float, shape: float) -> float:
    if shape == 0:
        return _gompertz_age(share, rate, inflection)
    power = -shape * log(share)
    if shape < 0:
        return inflection - log(expm1(power) / shape) / rate
    # The power of e is taken out of the difference, for it may be too large a number.
    return inflection - (power + log(-expm1(-power) / shape)) / rate


CURVES = {
    GrowthModel.LOGISTIC: Curve(
        (ASYMPTOTE, RATE, INFLECTION), logistic_share, logistic_slopes, _logistic_age
    ),
    GrowthModel.GOMPERTZ: Curve(
        (ASYMPTOTE, RATE, INFLECTION), gompertz_share, gompertz_slopes, _gompertz_age
    ),
    GrowthModel.VON_BERTALANFFY: Curve(
        (ASYMPTOTE, RATE, ZERO), bertalanffy_share, bertalanffy_slopes, _bertalanffy_age
    ),
    GrowthModel.RICHARDS: Curve(
        (ASYMPTOTE, RATE, INFLECTION, SHAPE),
        richards_share,
        richards_slopes,
        _richards_age,
    ),
}
