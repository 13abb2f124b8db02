"""A share of a whole: how far it can be relied on, and whether it differs."""

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, inf, lgamma, log, log1p, sqrt
from statistics import NormalDist

LEVEL = 0.95
# Outcomes this little more likely than the observed one count as no more likely.
TIE = 1e-7
HALVINGS = 200


@dataclass(frozen=True, slots=True)
class Share:
    """So many of so many, with the interval in which the true share lies.

    Attributes:
        low, high: ends of the interval, 0 to 1; of nothing 0 and 1.
        level: how often such an interval holds the true share.
    """

    count: int
    of: int
    low: float
    high: float
    level: float

    @property
    def value(self) -> float | None:
        """Return the share, 0 to 1; None of nothing."""
        return self.count / self.of if self.of else None


def wilson(count: int, of: int, *, level: float = LEVEL) -> Share:
    """Return a share with Wilson's score interval, without correction.

    Args:
        count: so many.
        of: of so many; 0: nothing is known, the interval is all of 0 to 1.
        level: more than 0, less than 1.

    Raises:
        ValueError: more than all, less than none, or no level.

    Source:
        wilson-1927; newcombe-1998, method 3.
    """
    _check(count, of, level)
    if of == 0:
        return Share(0, 0, 0.0, 1.0, level)
    z = NormalDist().inv_cdf(0.5 + level / 2)
    share = count / of
    middle = share + z * z / (2 * of)
    reach = z * sqrt(share * (1 - share) / of + z * z / (4 * of * of))
    whole = 1 + z * z / of
    # At the ends the interval touches them exactly; a rounding error must not say
    # otherwise.
    low = 0.0 if count == 0 else max((middle - reach) / whole, 0.0)
    high = 1.0 if count == of else min((middle + reach) / whole, 1.0)
    return Share(count, of, low, high, level)


def clopper_pearson(count: int, of: int, *, level: float = LEVEL) -> Share:
    """Return a share with the exact interval of Clopper and Pearson.

    Args:
        count: so many.
        of: of so many; 0: the interval is all of 0 to 1.
        level: more than 0, less than 1.

    Raises:
        ValueError: as for `wilson`.

    Source:
        clopper-pearson-1934; newcombe-1998, method 5.
    """
    _check(count, of, level)
    tail = (1 - level) / 2
    low, high = 0.0, 1.0
    if count > 0:
        low = _root(lambda p: _at_least(count, of, p) - tail)
    if count < of:
        high = _root(lambda p: tail - _at_most(count, of, p))
    return Share(count, of, low, high, level)


def binomial_test(count: int, of: int, *, expected: float) -> float:
    """Return how likely a count is that departs as far from what is expected.

    Two-sided and exact: all outcomes are added up that are no more likely than the
    observed one.

    Args:
        count: so many.
        of: of so many; 0: nothing speaks against anything, 1.
        expected: the share that is expected, 0 to 1.

    Returns:
        0 to 1.

    Raises:
        ValueError: more than all, less than none, or no share.

    Source:
        r-binom-test: the rule of R's binom.test.
    """
    _check(count, of, LEVEL)
    if not 0 <= expected <= 1:
        raise ValueError(f"{expected} is no share; give 0 to 1.")
    observed = _log_mass(count, of, expected)
    limit = observed + log1p(TIE)
    masses = (_log_mass(k, of, expected) for k in range(of + 1))
    return min(sum(exp(mass) for mass in masses if mass <= limit), 1.0)


def _check(count: int, of: int, level: float) -> None:
    if not 0 <= count <= of:
        raise ValueError(f"{count} of {of} cannot be; give 0 to {of}.")
    if not 0 < level < 1:
        raise ValueError(f"{level} is no level; give more than 0, less than 1.")


def _log_mass(k: int, of: int, share: float) -> float:
    if share in (0.0, 1.0):
        return 0.0 if k == of * share else -inf
    ways = lgamma(of + 1) - lgamma(k + 1) - lgamma(of - k + 1)
    return ways + k * log(share) + (of - k) * log1p(-share)


def _at_most(count: int, of: int, share: float) -> float:
    return sum(exp(_log_mass(k, of, share)) for k in range(count + 1))


def _at_least(count: int, of: int, share: float) -> float:
    return sum(exp(_log_mass(k, of, share)) for k in range(count, of + 1))


def _root(rising: Callable[[float], float]) -> float:
    """Return where a rising function of a share crosses zero, by halving."""
    low, high = 0.0, 1.0
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if rising(middle) < 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2
