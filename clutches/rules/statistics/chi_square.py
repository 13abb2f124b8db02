"""The upper tail of the chi-square distribution, by its closed forms."""

from math import erfc, exp, gamma, sqrt


def upper_tail(value: float, *, freedom: int) -> float:
    """Return how likely a chi-square at least so large is.

    Args:
        value: 0 or more.
        freedom: degrees of freedom, 1 or more.

    Returns:
        0 to 1.

    Raises:
        ValueError: a negative value, or no freedom.

    Source:
        abramowitz-stegun, 26.4.4 and 26.4.5.
    """
    if value < 0 or freedom < 1:
        raise ValueError("Give a value of 0 or more and at least one degree.")
    half = value / 2
    if freedom % 2 == 0:
        terms = [half**k / gamma(k + 1) for k in range(freedom // 2)]
        return min(exp(-half) * sum(terms), 1.0)
    odd: list[float] = [
        half ** (k + 0.5) / gamma(k + 1.5) for k in range((freedom - 1) // 2)
    ]
    return min(erfc(sqrt(half)) + exp(-half) * sum(odd), 1.0)
