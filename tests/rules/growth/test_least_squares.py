"""The search itself on problems with certified answers, as they were set."""

import numpy as np
import pytest

from husbandry.rules.growth.least_squares import Problem, descend
from tests.rules.growth import weighed


def rat42(low: float = -np.inf, high: float = np.inf) -> Problem:
    x = np.array(weighed.RAT42_X)

    def values(b: np.ndarray) -> np.ndarray:
        return b[0] / (1 + np.exp(b[1] - b[2] * x))

    def jacobian(b: np.ndarray) -> np.ndarray:
        u = np.exp(b[1] - b[2] * x)
        steep = b[0] * u / (1 + u) ** 2
        return np.stack([1 / (1 + u), -steep, x * steep], axis=-1)

    return Problem(
        np.array(weighed.RAT42_Y),
        values,
        jacobian,
        np.array([low, -np.inf, -np.inf]),
        np.array([high, np.inf, np.inf]),
    )


def boxbod() -> Problem:
    x = np.array(weighed.BOXBOD_X)

    def values(b: np.ndarray) -> np.ndarray:
        return -b[0] * np.expm1(-b[1] * x)

    def jacobian(b: np.ndarray) -> np.ndarray:
        return np.stack([-np.expm1(-b[1] * x), b[0] * x * np.exp(-b[1] * x)], axis=-1)

    # A rate below zero is no curve that ends.
    return Problem(
        np.array(weighed.BOXBOD_Y),
        values,
        jacobian,
        np.array([-np.inf, 1e-3]),
        np.array([np.inf, 1e3]),
    )


@pytest.mark.parametrize("start", weighed.RAT42_STARTS)
def test_rat42_from_the_starts_of_nist(start: tuple[float, ...]) -> None:
    found = descend(rat42(), np.array(start))

    assert found.converged
    assert found.on_side == (False, False, False)
    assert found.point == pytest.approx(weighed.RAT42, rel=1e-8)
    assert found.residual_sum == pytest.approx(weighed.RAT42_RSS, rel=1e-9)


@pytest.mark.parametrize("start", weighed.BOXBOD_STARTS)
def test_boxbod_from_the_starts_of_nist(start: tuple[float, ...]) -> None:
    found = descend(boxbod(), np.array(start))

    assert found.converged
    assert found.point == pytest.approx(weighed.BOXBOD, rel=1e-7)
    assert found.residual_sum == pytest.approx(weighed.BOXBOD_RSS, rel=1e-9)


@pytest.mark.parametrize(
    ("low", "high", "side"), [(-np.inf, 70.0, 70.0), (75.0, np.inf, 75.0)]
)
def test_the_box_holds_the_search_back(low: float, high: float, side: float) -> None:
    found = descend(rat42(low, high), np.array([72.0, 2.5, 0.07]))

    assert found.converged
    assert found.on_side == (True, False, False)
    assert found.point[0] == side
    assert found.residual_sum > weighed.RAT42_RSS


def test_a_start_without_values_does_not_converge() -> None:
    problem = Problem(
        np.ones(3),
        lambda point: np.full(3, np.nan),
        lambda point: np.zeros((3, 1)),
        np.array([-np.inf]),
        np.array([np.inf]),
    )

    found = descend(problem, np.zeros(1))

    assert not found.converged
    assert found.residual_sum == np.inf


def test_a_slope_that_misleads_does_not_converge() -> None:
    # The derivative has the wrong sign, so no step goes down.
    problem = Problem(
        np.array([1.0, 2.0]),
        lambda point: point[0] * np.array([1.0, 1.0]),
        lambda point: -np.ones((2, 1)),
        np.array([-np.inf]),
        np.array([np.inf]),
    )

    found = descend(problem, np.array([5.0]))

    assert not found.converged
    assert found.point == [5.0]
