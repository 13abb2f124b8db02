"""The robust trend, against Sen's own example and a reference library."""

import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from husbandry.rules.trends import NoSlopeError, theil_sen

# Sen 1968, JASA 63:1379-1389, the worked example (facts also carried in scipy's tests).
SEN_X = (1, 2, 3, 4, 10, 12, 18)
SEN_Y = (9, 15, 19, 20, 45, 55, 78)


def test_sen_1968_example() -> None:
    found = theil_sen(SEN_X, SEN_Y, confidence=0.93)

    assert found.slope == pytest.approx(4.000)
    assert found.low == pytest.approx(3.714286, abs=1e-6)
    assert found.high == pytest.approx(4.375)
    assert found.n == 7


@pytest.mark.parametrize("missing", [None, math.nan])
def test_a_missing_point_is_dropped(missing: float | None) -> None:
    # The same data as in scipy's test of missing values: slope 1/3.
    found = theil_sen((0, 1, 2, 3), (0, 1, missing, 1))

    assert found.slope == pytest.approx(1 / 3)
    assert found.n == 3


@pytest.mark.parametrize(
    ("x", "y"), [((), ()), ((1,), (5,)), ((2, 2), (5, 6)), ((1, 2), (5, None))]
)
def test_without_two_places_there_is_no_slope(
    x: tuple[float, ...], y: tuple[float | None, ...]
) -> None:
    with pytest.raises(NoSlopeError):
        theil_sen(x, y)


@pytest.mark.parametrize("confidence", [0, 1, -0.5, 95])
def test_a_confidence_outside_0_to_1_is_refused(confidence: float) -> None:
    with pytest.raises(ValueError, match="not between 0 and 1"):
        theil_sen((0, 1), (0, 1), confidence=confidence)


def test_points_of_different_number_are_refused() -> None:
    with pytest.raises(ValueError, match="shorter"):
        theil_sen((0, 1, 2), (0, 1))


@pytest.mark.parametrize("n", [2, 3, 4])
def test_too_few_points_bound_nothing(n: int) -> None:
    # By hand, n=4: 6 pairs, spread sqrt(4·3·13/18) = 2.944, 1.96 of it is 5.77:
    # ranks round(0.11) − 1 = −1 and round(5.89) = 6, both outside 0…5.
    found = theil_sen(range(n), range(n))

    assert (found.slope, found.low, found.high) == (1, -math.inf, math.inf)


@pytest.mark.parametrize("seed", range(40))
def test_scipy_agrees_on_random_points(seed: int) -> None:
    chance = random.Random(seed)
    n = chance.randint(8, 40)
    # Integers, so that some of them tie in x and in y.
    x = [chance.randint(0, 60) for _ in range(n)]
    y = [a / 3 + chance.randint(-12, 12) for a in x]
    confidence = chance.choice([0.8, 0.93, 0.95, 0.99])

    found = theil_sen(x, y, confidence=confidence)

    # With ties, scipy alone corrects the variance as Sen does.
    expected = stats.theilslopes(y, x, alpha=confidence)
    assert found.slope == pytest.approx(expected.slope, abs=1e-12)
    assert found.low == pytest.approx(expected.low_slope, abs=1e-12)
    assert found.high == pytest.approx(expected.high_slope, abs=1e-12)


POINTS = st.lists(
    st.tuples(st.integers(0, 1000), st.integers(-1000, 1000)),
    min_size=5,
    max_size=25,
    unique_by=lambda p: p[0],
)


@given(POINTS, st.randoms(use_true_random=False))
def test_the_order_of_the_points_does_not_matter(
    points: list[tuple[int, int]], chance: random.Random
) -> None:
    shuffled = points[:]
    chance.shuffle(shuffled)

    straight = theil_sen(*zip(*points, strict=True))

    assert theil_sen(*zip(*shuffled, strict=True)) == straight
    assert straight.low <= straight.slope <= straight.high


@given(POINTS)
def test_one_wild_point_among_many_does_not_turn_the_slope(
    points: list[tuple[int, int]],
) -> None:
    x = [float(n) for n in range(20)]
    y = [2 * a for a in x]
    y[points[0][0] % 20] = float(points[0][1])

    assert theil_sen(x, y).slope == pytest.approx(2)
