"""Hours that nobody measured are bridged and counted."""

from math import inf

import numpy as np
import pytest

from clutches.rules.facts import Track
from clutches.rules.forecasting.warmth import (
    Ahead,
    Warmth,
    ahead_as_lately,
    ahead_by_plan,
    bridged,
    wanted_hours,
)
from clutches.rules.vocabulary import PhaseKind
from tests.rules.clutches.incubation.made import phase, plan

NAN = float("nan")
COOL_THEN_WARM = plan(
    phase("18.0", "20.0", days=2, kind=PhaseKind.COOL), phase("25.0", "27.0")
)


def hours(*values: float) -> Track:
    return Track(0, np.array(values, float))


def test_plan_hour_by_hour() -> None:
    found = wanted_hours(COOL_THEN_WARM, hours=50)

    assert found.tolist() == [19.0] * 48 + [26.0] * 2


@pytest.mark.parametrize(
    ("track", "expected", "known"),
    [
        (hours(24, 25), [24, 25], 2),
        (hours(24, NAN, NAN, 27), [24, 25, 26, 27], 2),
        (hours(NAN, 25, NAN), [25, 25, 25], 1),
        (hours(), None, 0),
        (hours(NAN, NAN), None, 0),
    ],
)
def test_short_gaps_without_a_plan(
    track: Track, expected: list[float] | None, known: int
) -> None:
    found = bridged(track, plan=None)

    if expected is None:
        assert found is None
    else:
        assert found is not None
        assert found.hours_c.tolist() == expected
        assert found.known == known


def test_a_gap_of_a_day_is_bridged_and_a_longer_one_follows_the_plan() -> None:
    day = hours(22.0, *[NAN] * 24, 22.0, *[NAN] * 25, 24.0)

    found = bridged(day, plan=COOL_THEN_WARM)

    assert found is not None
    assert found.hours_c[:26].tolist() == [22.0] * 26
    assert found.hours_c[26:51].tolist() == [19.0] * 22 + [26.0] * 3
    assert found.known == 3
    assert found.measured == pytest.approx(3 / 52)


def test_nothing_measured_follows_the_plan() -> None:
    found = bridged(hours(NAN, NAN), plan=COOL_THEN_WARM)

    assert found is not None
    assert found.hours_c.tolist() == [19.0, 19.0]
    assert found.measured == 0.0
    assert Warmth(np.empty(0), 0).measured == 0.0


@pytest.mark.parametrize(
    ("from_hour", "expected"),
    [
        (0, [Ahead(0, 48, 19.0), Ahead(48, inf, 26.0)]),
        (47, [Ahead(47, 48, 19.0), Ahead(48, inf, 26.0)]),
        (48, [Ahead(48, inf, 26.0)]),
        (900, [Ahead(900, inf, 26.0)]),
    ],
)
def test_what_a_plan_has_in_store(from_hour: int, expected: list[Ahead]) -> None:
    assert list(ahead_by_plan(COOL_THEN_WARM, from_hour=from_hour)) == expected


def test_last_phase_goes_on_although_it_has_days() -> None:
    ended = plan(phase("25.0", "27.0", days=2))

    assert ahead_by_plan(ended, from_hour=100) == (Ahead(100, inf, 26.0),)


def test_as_lately_is_the_mean_of_seven_days() -> None:
    warmth = Warmth(np.array([20.0] * 24 + [25.0] * 84 + [27.0] * 84), 192)

    assert ahead_as_lately(warmth) == (Ahead(192, inf, 26.0),)
    assert ahead_as_lately(Warmth(np.empty(0), 0)) == ()
