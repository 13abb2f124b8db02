"""An animal's mass against a published reference of mass by age, by Cole's method.

A reference says, for each age, the median M, the variation S and the power L that
makes the masses of animals of that age normal. Between two ages the three are
taken straight; outside the reference's ages nothing is said.
"""

from bisect import bisect_left
from dataclasses import dataclass
from math import exp, expm1, log, log1p
from statistics import NormalDist

from husbandry.rules.profiles.values import GrowthReference, LmsPoint

# Below this power the formula and its limit, the logarithm, agree to all digits.
SMALLEST_POWER = 1e-12
# e to this power is as large as a number of this machine becomes, or nearly.
LARGEST_EXPONENT = 700.0
NEAREST_TO_NONE = -1 + 1e-15
TAIL_FROM = 3
LOWEST_LIKELY, HIGHEST_LIKELY = -6, 5


@dataclass(frozen=True, slots=True)
class Lms:
    """Cole's three parameters at one age.

    Attributes:
        power: L, what makes the masses normal; 0: their logarithm is.
        median_g: M, above zero.
        variation: S, about the standard deviation by the mean; above zero.
    """

    power: float
    median_g: float
    variation: float


def lms_at(reference: GrowthReference, *, age_days: float) -> Lms | None:
    """Return a reference's parameters at an age, straight between its ages.

    Args:
        reference: its points in order of age.
        age_days: from the day of hatching, as day 0.

    Returns:
        The parameters; None outside the reference's ages, whose ends count.
        A reference is never extrapolated.

    Source:
        who-growth-2006: the tables are read so between their days.
    """
    points = reference.points
    if not points or not points[0].age_days <= age_days <= points[-1].age_days:
        return None
    place = bisect_left(points, age_days, key=lambda p: p.age_days)
    after = points[place]
    if after.age_days == age_days:
        return _lms(after)
    before = points[place - 1]
    share = (age_days - before.age_days) / (after.age_days - before.age_days)
    low, high = _lms(before), _lms(after)
    return Lms(
        power=low.power + share * (high.power - low.power),
        median_g=low.median_g + share * (high.median_g - low.median_g),
        variation=low.variation + share * (high.variation - low.variation),
    )


def z_score(mass_g: float, lms: Lms) -> float | None:
    """Return by how many standard deviations a mass differs from its age's median.

    Args:
        mass_g: grams, or whatever unit the median has.
        lms: the parameters at the animal's age.

    Returns:
        ((x/M)^L − 1)/(L·S), or ln(x/M)/S where L is 0; None for a mass that is not
        above zero.

    Source:
        cole-green-1992.
    """
    if mass_g <= 0:
        return None
    ratio = log(mass_g / lms.median_g)
    if abs(lms.power) < SMALLEST_POWER:
        return ratio / lms.variation
    exponent = min(lms.power * ratio, LARGEST_EXPONENT)
    return expm1(exponent) / (lms.power * lms.variation)


def value_at_z(z: float, lms: Lms) -> float | None:
    """Return the mass at a z-score: M·(1 + L·S·z)^(1/L), or M·e^(S·z) where L is 0.

    Args:
        z: how many standard deviations from the median.
        lms: the parameters at an age.

    Returns:
        The mass in the median's unit; None where no mass has that score.

    Source:
        cole-green-1992.
    """
    return None if lms.power * lms.variation * z <= -1 else _mass_at(z, lms)


def z_score_with_tails(mass_g: float, lms: Lms) -> float | None:
    """Return a z-score that keeps even steps beyond three deviations.

    So far out the power exaggerates; there a deviation is as many grams as lie
    between the second and the third.

    Args:
        mass_g: grams, or whatever unit the median has.
        lms: the parameters at the animal's age.

    Returns:
        As `z_score` up to ±3 and linear beyond; None for a mass that is not above
        zero.

    Source:
        who-growth-2006: 3 + (x − SD3)/(SD3 − SD2), and the same below.
    """
    z = z_score(mass_g, lms)
    if z is None or -TAIL_FROM <= z <= TAIL_FROM:
        return z
    sign = 1 if z > 0 else -1
    third_g = _mass_at(sign * TAIL_FROM, lms)
    second_g = _mass_at(sign * (TAIL_FROM - 1), lms)
    return sign * TAIL_FROM + (mass_g - third_g) / abs(third_g - second_g)


def centile(z: float) -> float:
    """Return which per cent of animals of that age weigh less, 0 to 100.

    Args:
        z: a z-score; 0 is the 50th centile.

    Source:
        cole-green-1992: the scores are normal.
    """
    return 100 * NormalDist().cdf(z)


def is_unlikely(z: float) -> bool:
    """Say whether a score is so far out that mass or age should be checked first.

    Source:
        who-growth-2006: weight for age outside −6 to +5 is flagged.
    """
    return not LOWEST_LIKELY <= z <= HIGHEST_LIKELY


def _mass_at(z: float, lms: Lms) -> float:
    if abs(lms.power) < SMALLEST_POWER:
        return lms.median_g * exp(lms.variation * z)
    # A mass beyond a deviation shows that the deviation exists, up to rounding.
    inner = max(lms.power * lms.variation * z, NEAREST_TO_NONE)
    return lms.median_g * exp(min(log1p(inner) / lms.power, LARGEST_EXPONENT))


def _lms(point: LmsPoint) -> Lms:
    return Lms(float(point.power), float(point.median_g), float(point.variation))
