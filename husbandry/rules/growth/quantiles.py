"""Student's t by its finite sums, for intervals of few weighings."""

from functools import lru_cache
from math import atan, cos, pi, sin, sqrt, tan

HALVINGS = 60
"""So often is the angle's range of π/2 halved: to the last digit of a float."""
NORMAL_FROM = 200_000
"""From so many degrees of freedom on, more of them change nothing that is shown."""


def t_between(t: float, degrees_of_freedom: int) -> float:
    """Return the probability that Student's t lies between -t and t.

    Args:
        t: 0 or above.
        degrees_of_freedom: a whole number of at least 1.

    Returns:
        A probability between 0 and 1.

    Source:
        abramowitz-stegun, 26.7.3 and 26.7.4.
    """
    return _between(atan(t / sqrt(degrees_of_freedom)), degrees_of_freedom)


def _between(angle: float, degrees_of_freedom: int) -> float:
    odd = degrees_of_freedom % 2
    square = cos(angle) ** 2
    term, total = (cos(angle) if odd else 1.0), 0.0
    for step in range(2 if odd else 1, degrees_of_freedom, 2):
        total += term
        term *= square * step / (step + 1)
    return 2 / pi * (angle + sin(angle) * total) if odd else sin(angle) * total


@lru_cache(maxsize=1024)
def t_quantile(degrees_of_freedom: int, confidence: float = 0.95) -> float:
    """Return the t within which Student's t lies with a confidence, both sides.

    Args:
        degrees_of_freedom: a whole number of at least 1; above 200,000 it is taken
            for that many.
        confidence: above 0 and below 1.

    Returns:
        The two-sided quantile, 12.706 for one degree of freedom at 0.95.

    Raises:
        ValueError: no degree of freedom, or the confidence is not between 0 and 1.

    Source:
        abramowitz-stegun, 26.7.3 and 26.7.4, inverted by halving.
    """
    if degrees_of_freedom < 1:
        raise ValueError(
            f"{degrees_of_freedom} degrees of freedom have no t; 1 is the least."
        )
    if not 0 < confidence < 1:
        raise ValueError(f"A confidence of {confidence} is not between 0 and 1.")
    freedom = min(degrees_of_freedom, NORMAL_FROM)
    low, high = 0.0, pi / 2
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if _between(middle, freedom) < confidence:
            low = middle
        else:
            high = middle
    return tan((low + high) / 2) * sqrt(freedom)
