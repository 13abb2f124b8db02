"""Windows from how far clutches missed; by scipy, and by simulation."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from clutches.rules.forecasting.spreads import Misses, SpreadMethod, spread_of
from clutches.rules.forecasting.windows import WindowDays


def misses(middles: list[float], half: float = 2.0) -> Misses:
    middle = np.array(middles, float)
    return Misses(middle - half, middle, middle + half)


def test_two_are_too_few() -> None:
    assert spread_of(misses([1.0, 2.0])) is None
    assert spread_of(misses([])) is None


def test_three_by_t_as_scipy() -> None:
    values = [-3.0, 1.0, 5.0]

    found = spread_of(misses(values))

    assert found is not None
    assert (found.method, found.clutches) == (SpreadMethod.T_QUANTILES, 3)
    wide = stats.t.ppf(0.95, 2) * np.std(values, ddof=1) * np.sqrt(4 / 3)
    assert found.likely == pytest.approx(1.0)
    assert found.early == pytest.approx(1 - 2 - wide)
    assert found.late == pytest.approx(1 + 2 + wide)
    assert found.around(100.0) == WindowDays(100 + found.early, 101.0, 100 + found.late)


def test_nineteen_are_ordered_and_eighteen_are_not() -> None:
    values = [float(n) for n in range(19)]

    ordered, normal = spread_of(misses(values)), spread_of(misses(values[:18]))

    assert ordered is not None
    assert normal is not None
    assert ordered.method is SpreadMethod.ORDER_STATISTICS
    # The first and the last of 19: each is passed once in twenty.
    assert (ordered.early, ordered.likely, ordered.late) == (-2.0, 9.0, 20.0)
    assert normal.method is SpreadMethod.T_QUANTILES


def test_thirty_nine_leave_one_at_each_end() -> None:
    found = spread_of(misses([float(n) for n in range(39)], half=0))

    assert found is not None
    assert (found.early, found.late) == (1.0, 37.0)


@given(
    st.lists(
        st.tuples(st.floats(-60, 60), st.floats(0, 40), st.floats(0, 40)),
        min_size=3,
        max_size=40,
    )
)
def test_never_narrower_than_half_of_the_clutches(
    rows: list[tuple[float, float, float]],
) -> None:
    middle, before, after = np.array(rows).T

    found = spread_of(Misses(middle - before, middle, middle + after))

    assert found is not None
    assert found.early <= found.likely <= found.late
    assert found.late - found.early >= np.median(before + after) - 1e-9


@pytest.mark.parametrize("count", [3, 8, 19, 40])
def test_nine_of_ten_new_clutches_are_held(count: int) -> None:
    random = np.random.default_rng(13)
    held = 0
    for _ in range(2000):
        found = spread_of(misses(random.normal(0, 6, count).tolist(), half=0))
        assert found is not None
        held += found.early <= random.normal(0, 6) <= found.late

    # Within four standard errors of a share of 0.9, and wider never hurts.
    assert held / 2000 > 0.9 - 4 * np.sqrt(0.9 * 0.1 / 2000)
