"""The linear rate of development, by published figures and by scipy."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize, stats

from clutches.rules.forecasting.rates import (
    Rate,
    degree_days_of,
    line_of_rates,
    supported_line,
)

FIVE_C = np.array([24.0, 25.0, 26.5, 27.5, 29.0])
FIVE_DAYS = np.array([46.0, 39.0, 34.5, 30.0, 27.5])


@pytest.mark.parametrize(
    ("celsius", "days", "zero_c", "total"),
    [
        # Lin, Du, Shen 2005, Takydromus septentrionalis.
        ((24.0, 27.0), (45.0, 32.1), 16.535, 335.93),
        # Shen 2017 by Conservation Evidence 9976, Plestiodon chinensis.
        ((24.0, 32.0), (40.0, 19.0), 16.76, 289.52),
    ],
)
def test_published_pairs(
    celsius: tuple[float, ...], days: tuple[float, ...], zero_c: float, total: float
) -> None:
    rate = line_of_rates(np.array(celsius), np.array(days))

    assert rate is not None
    assert rate.zero_c == pytest.approx(zero_c, abs=0.005)
    assert rate.degree_days == pytest.approx(total, abs=0.01)
    assert rate.zero_low_c is None
    assert [rate.days_at(c) for c in celsius] == pytest.approx(days)


def test_takydromus_at_26_degrees() -> None:
    # Lin, Du, Shen 2005: between the two temperatures measured.
    rate = line_of_rates(np.array([24.0, 27.0]), np.array([45.0, 32.1]))

    assert rate is not None
    assert rate.days_at(26.0) == pytest.approx(35.49, abs=0.005)
    assert rate.days_at(rate.zero_c) is None
    assert rate.days_at(10.0) is None


def test_weighted_fit_as_scipy() -> None:
    (slope, level), covariance = optimize.curve_fit(
        lambda x, b, a: b * x + a, FIVE_C, 1 / FIVE_DAYS, sigma=1 / FIVE_DAYS
    )

    rate = line_of_rates(FIVE_C, FIVE_DAYS)

    assert rate is not None
    assert rate.zero_c == pytest.approx(-level / slope, rel=1e-5)
    assert rate.degree_days == pytest.approx(1 / slope, rel=1e-5)
    # Fieller: at both ends of the interval the line is just not told from nothing.
    t = stats.t.ppf(0.975, 3)
    for zero in (rate.zero_low_c, rate.zero_high_c):
        assert zero is not None
        at = np.array([zero, 1.0])
        assert abs(at @ [slope, level]) == pytest.approx(
            t * np.sqrt(at @ covariance @ at), rel=1e-3
        )


def test_zero_is_supported_by_five_apart() -> None:
    rate = supported_line(FIVE_C, FIVE_DAYS)

    assert rate is not None
    assert rate == line_of_rates(FIVE_C, FIVE_DAYS)
    assert rate.zero_low_c is not None
    assert rate.zero_high_c is not None
    assert rate.zero_low_c < rate.zero_c < rate.zero_high_c < FIVE_C.min()


@pytest.mark.parametrize(
    ("celsius", "days"),
    [
        ([], []),
        # Four are too few, however well they agree.
        ([24, 25, 26, 27], [45, 40, 36, 32]),
        # One warm clutch alone would carry the slope.
        ([24.0, 24.1, 24.2, 24.9, 28.0], [45, 44, 44, 43, 30]),
        # All alike.
        ([26.0] * 5, [35, 36, 34, 35, 36]),
        # Apart, but no warmer one was surely faster.
        ([24, 25, 26, 27, 28], [36, 44, 33, 45, 38]),
        # Warmer ones were slower.
        ([24, 25, 26, 27, 28], [30, 32, 35, 39, 44]),
    ],
)
def test_zero_is_not_supported(celsius: list[float], days: list[float]) -> None:
    assert supported_line(np.array(celsius, float), np.array(days, float)) is None


def test_line_by_which_the_coolest_stood_still_is_none() -> None:
    # Mixed-up records: the coolest was the fastest, and weighs next to nothing.
    assert (
        line_of_rates(np.array([27.0, 28.0, 31.0]), np.array([1.0, 65.0, 7.0])) is None
    )


def test_no_line_through_one_temperature() -> None:
    assert line_of_rates(np.array([26.0, 26.0]), np.array([40.0, 42.0])) is None


def test_exactly_one_degree_apart_without_any_one() -> None:
    days = np.array([45.0, 44.9, 40.0, 39.9, 39.8])

    assert supported_line(np.array([24.0, 24.0, 25.0, 25.0, 25.0]), days) is not None
    assert supported_line(np.array([24.0, 24.01, 25.0, 25.0, 25.0]), days) is None


def test_stated_zero_gives_the_mean_of_degree_days() -> None:
    mean_c, days = np.array([26.0, 27.0]), np.array([40.0, 30.0])

    assert degree_days_of(mean_c, days, zero_c=16.0) == Rate(16.0, (400 + 330) / 2)
    assert degree_days_of(mean_c, days, zero_c=26.0) is None
    assert degree_days_of(np.empty(0), np.empty(0), zero_c=16.0) is None


@given(
    st.floats(8, 20),
    st.floats(100, 2000),
    st.lists(st.floats(22, 33), min_size=3, max_size=12, unique_by=round),
)
def test_exact_clutches_give_their_rate_back(
    zero: float, total: float, celsius: list[float]
) -> None:
    mean_c = np.array(celsius)

    rate = line_of_rates(mean_c, total / (mean_c - zero))

    assert rate is not None
    assert rate.zero_c == pytest.approx(zero, abs=1e-6)
    assert rate.degree_days == pytest.approx(total, rel=1e-6)
