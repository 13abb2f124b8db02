"""Formulas of figures, against worked examples and a reference library."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from placements.rules.figures.rates import (
    capacity_needed,
    daily_rate,
    days_stayed,
    length_of_stay,
    live_release_by_accord,
    live_release_by_intake,
)


def test_live_release_by_both_formulas() -> None:
    """Invented numbers, published formulas: intake 200, live outcomes 90 + 20 + 30.

    Put to sleep: treatable 20, not treatable 15, at the owner's request 10.
    """
    live, outcomes, asked = 90 + 20 + 30, 185, 10

    by_accord = live_release_by_accord(live=live, outcomes=outcomes, asked=asked)

    assert (by_accord.count, by_accord.of) == (140, 175)
    assert by_accord.value == pytest.approx(0.800)
    assert live_release_by_intake(live=live, intake=200) == pytest.approx(0.700)


def test_the_interval_of_the_rate_is_that_of_a_share() -> None:
    interval = stats.binomtest(140, 175).proportion_ci(method="wilson")

    share = live_release_by_accord(live=140, outcomes=185, asked=10)

    assert (share.low, share.high) == pytest.approx((interval.low, interval.high))


def test_by_intake_more_than_all_is_possible() -> None:
    assert live_release_by_intake(live=30, intake=20) == 1.5


def test_of_nothing_there_is_no_rate() -> None:
    assert live_release_by_intake(live=3, intake=0) is None
    assert live_release_by_accord(live=0, outcomes=0, asked=0).value is None
    assert length_of_stay(animal_days=50, exits=0) is None


def test_more_asked_for_than_put_to_sleep_cannot_be() -> None:
    with pytest.raises(ValueError, match="cannot be"):
        live_release_by_accord(live=10, outcomes=12, asked=3)


def test_length_of_stay_of_the_published_example() -> None:
    """2400 animal-days by 210 exits: 11.43."""
    found = length_of_stay(animal_days=2400, exits=210)

    assert found == pytest.approx(11.428571, abs=1e-6)
    assert round(found or 0, 2) == 11.43


@pytest.mark.parametrize(
    ("began", "ended", "days"), [(5, 5, 1), (5, 6, 1), (5, 17, 12)]
)
def test_the_same_day_counts_one(began: int, ended: int, days: int) -> None:
    assert days_stayed(began, ended) == days


@pytest.mark.parametrize(
    ("intake", "days", "animals"), [(3, 12, 36), (1, 10, 10), (1, 30, 30)]
)
def test_capacity_of_the_published_examples(
    intake: int, days: int, animals: int
) -> None:
    assert capacity_needed(intake_a_day=intake, days=days) == animals


# Garwood's limits of a count, as tables of exact Poisson limits print them; from memory.
@pytest.mark.parametrize(
    ("count", "low", "high"),
    [(0, 0.0, 3.689), (1, 0.025, 5.572), (5, 1.623, 11.668), (10, 4.795, 18.390)],
)
def test_the_interval_of_a_count(count: int, low: float, high: float) -> None:
    found = daily_rate(count, 1)

    assert (found.low, found.high) == pytest.approx((low, high), abs=6e-4)


@given(st.integers(0, 20_000), st.integers(1, 800))
def test_the_interval_of_a_rate_is_the_reference_librarys(
    count: int, days: int
) -> None:
    found = daily_rate(count, days)

    low = stats.chi2.ppf(0.025, 2 * count) / 2 if count else 0.0
    high = stats.chi2.ppf(0.975, 2 * count + 2) / 2
    assert found.low == pytest.approx(low / days, rel=1e-6)
    assert found.high == pytest.approx(high / days, rel=1e-6)
    assert found.low <= found.value <= found.high


@pytest.mark.parametrize(("count", "days"), [(-1, 5), (3, 0)])
def test_what_is_no_count(count: int, days: int) -> None:
    with pytest.raises(ValueError, match="at least one day"):
        daily_rate(count, days)
