"""Degree-days add up hour by hour to the day of hatching."""

from math import inf

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from clutches.rules.forecasting.development import degree_days, hatch_day
from clutches.rules.forecasting.rates import Rate, line_of_rates
from clutches.rules.forecasting.warmth import Ahead
from tests.rules.clutches.forecasting.made import track


def takydromus() -> Rate:
    # Lin, Du, Shen 2005, Takydromus septentrionalis.
    rate = line_of_rates(np.array([24.0, 27.0]), np.array([45.0, 32.1]))
    assert rate is not None
    return rate


@pytest.mark.parametrize(
    ("parts", "ahead", "day"),
    [
        # All of it measured.
        (((60, 24.0),), (), 45.0),
        (((60, 27.0),), (), 32.1),
        # Takydromus, 20 days at 24 °C and then 27 °C: 149.30 of 335.93 done.
        (((20, 24.0), (30, 27.0)), (), 37.83),
        (((20, 24.0),), (Ahead(480, inf, 27.0),), 37.83),
        ((), (Ahead(0, 480, 24.0), Ahead(480, inf, 27.0)), 37.83),
        # Nothing is gained below zero.
        (((20, 24.0), (5, 10.0)), (Ahead(600, inf, 27.0),), 42.83),
        # For ever too cool.
        (((20, 24.0),), (Ahead(480, inf, 16.0),), None),
        (((20, 24.0),), (), None),
        ((), (), None),
    ],
)
def test_hatch_day(
    parts: tuple[tuple[float, float], ...],
    ahead: tuple[Ahead, ...],
    day: float | None,
) -> None:
    found = hatch_day(takydromus(), track(*parts).hours_c, ahead, rest_days=0)

    assert found == (None if day is None else pytest.approx(day, abs=0.01))


def test_nothing_is_gained_while_embryos_rest() -> None:
    rate = Rate(16.0, 300.0)

    done = degree_days(rate, track((70, 26.0)).hours_c, rest_days=65)
    known = hatch_day(rate, track((100, 26.0)).hours_c, (), rest_days=65)
    told = hatch_day(rate, np.empty(0), (Ahead(0, inf, 26.0),), rest_days=65)

    assert done[65 * 24 - 1] == 0
    assert done[-1] == pytest.approx(50)
    assert known == pytest.approx(95)
    assert told == pytest.approx(95)


def test_rest_ends_within_a_spell_to_come() -> None:
    ahead = (Ahead(0, 24 * 70, 26.0), Ahead(24 * 70, inf, 31.0))

    found = hatch_day(Rate(16.0, 200.0), np.empty(0), ahead, rest_days=65)

    # Five days of 10, then 150 left at 15 a day.
    assert found == pytest.approx(80)


HOURS = st.lists(st.floats(10, 34), max_size=60)


@given(HOURS, st.floats(10, 34), st.lists(st.floats(0, 5), min_size=61, max_size=61))
def test_warmer_is_never_later(
    hours: list[float], ahead_c: float, warmer: list[float]
) -> None:
    rate = Rate(16.0, 12.0)
    cool = np.array(hours)
    ahead = Ahead(len(hours), inf, ahead_c)
    warm_ahead = Ahead(len(hours), inf, ahead_c + warmer[-1])

    slow = hatch_day(rate, cool, (ahead,), rest_days=0.5)
    fast = hatch_day(
        rate, cool + np.array(warmer[: len(cool)]), (warm_ahead,), rest_days=0.5
    )

    assert slow is None or (fast is not None and fast <= slow + 1e-9)


@given(HOURS, st.integers(0, 60), st.floats(17, 34))
def test_measured_or_to_come_is_the_same(
    hours: list[float], cut: int, ahead_c: float
) -> None:
    rate = Rate(16.0, 12.0)
    whole = np.array([*hours, *[ahead_c] * 400])
    cut = min(cut, len(hours))
    pieces = [Ahead(n, n + 1, c) for n, c in enumerate(hours)][cut:]

    by_hour = hatch_day(rate, whole, (), rest_days=0)
    ahead = (*pieces, Ahead(len(hours), inf, ahead_c))

    assert hatch_day(rate, whole[:cut], ahead, rest_days=0) == pytest.approx(by_hour)
