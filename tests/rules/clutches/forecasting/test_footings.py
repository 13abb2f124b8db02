"""What forecasts stand on, by what the profile says and how many clutches hatched."""

import math
from dataclasses import replace

import numpy as np
import pytest

from clutches.rules.facts import PastClutch, Track
from clutches.rules.forecasting.footings import footing_of
from clutches.rules.forecasting.reared import LeftOut, Rest, asked_on_day, rest_of
from clutches.rules.forecasting.spreads import SpreadMethod
from clutches.rules.vocabulary import ForecastBasis
from tests.rules.clutches.forecasting.made import Ends, herd, past, profile
from tests.rules.clutches.incubation.made import VEILED

ALIKE = herd([26.0] * 3, zero=16.0, total=1300.0, rest=65)
APART = herd([24.0, 25.0, 26.0, 27.0, 28.0], zero=16.0, total=1300.0, rest=65)
RESTING: Ends = ("50", "80")


@pytest.mark.parametrize(
    ("ends", "rest"),
    [
        (None, Rest(0, 0)),
        (("50", "80"), Rest(50, 80)),
        (("50", None), Rest(50, 50)),
        ((None, "80"), Rest(80, 80)),
    ],
)
def test_rest(ends: Ends | None, rest: Rest) -> None:
    assert rest_of(profile(rest=ends)) == rest


def test_middle_of_the_veiled_chameleons_rest() -> None:
    # Andrews & Donoghue 2004: 50 to 80 days at 25 °C.
    assert rest_of(VEILED).middle == 65


def test_published_rate_goes_first() -> None:
    published = profile(zero="16.535", degree_days="335.93")

    found = footing_of(herd([26.0] * 3, zero=16.0, total=350.0), published)
    alone = footing_of((), published)

    assert found.basis is alone.basis is ForecastBasis.PUBLISHED_RATE
    assert found.rate == alone.rate
    assert found.rate is not None
    assert (found.rate.zero_c, found.rate.degree_days) == (16.535, 335.93)
    assert found.spread is not None
    assert alone.spread is None


def test_two_own_clutches_are_no_footing() -> None:
    found = footing_of(ALIKE[:2], profile(rest=RESTING))

    assert found.basis is ForecastBasis.PROFILE_WINDOW
    assert len(found.reared) == 2


def test_three_alike_do_not_tell_zero() -> None:
    found = footing_of(ALIKE, profile(rest=RESTING))

    assert found.basis is ForecastBasis.OWN_CLUTCHES
    assert found.rate is None
    assert found.spread is None


def test_three_alike_tell_degree_days_by_a_stated_zero() -> None:
    found = footing_of(ALIKE, profile(rest=RESTING, zero="16"))

    assert found.basis is ForecastBasis.OWN_CLUTCHES
    assert found.zero_stated
    assert found.rate is not None
    assert found.rate.degree_days == pytest.approx(1300.0)
    assert found.spread is not None
    assert found.spread.method is SpreadMethod.T_QUANTILES


def test_five_apart_tell_zero_and_degree_days() -> None:
    found = footing_of(APART, profile(rest=RESTING))

    assert found.rate is not None
    assert not found.zero_stated
    # Days of hatching are whole days.
    assert found.rate.zero_c == pytest.approx(16.0, abs=0.3)
    assert found.rate.degree_days == pytest.approx(1300, rel=0.04)


def test_zero_above_where_clutches_hatched_is_not_used() -> None:
    found = footing_of(ALIKE, profile(rest=RESTING, zero="27"))

    assert found.basis is ForecastBasis.OWN_CLUTCHES
    assert found.rate is None


def test_rate_that_leaves_a_clutch_out_for_ever_gives_no_spread() -> None:
    clutch = past((100,), 26.0, code="P-9")
    hours_c = clutch.track.hours_c.copy()
    # Cool in the seven days before it is asked, half-way: it would never hatch.
    hours_c[24 * 30 : 24 * 60] = 10.0
    cooled = replace(clutch, track=Track(0, hours_c))
    published = profile(zero="16", degree_days="1000")

    found = footing_of((*herd([26.0] * 3, zero=16.0, total=1000.0), cooled), published)

    assert found.basis is ForecastBasis.PUBLISHED_RATE
    assert found.spread is None


def test_unmeasured_and_too_early_clutches_are_left_out() -> None:
    unknown = replace(
        past((195,), 26.0, code="P-7"), track=Track(0, np.full(100, math.nan))
    )
    short = replace(past((195,), 26.0, code="P-8"), track=Track(0, np.full(3700, 26.0)))
    early = past((65,), 26.0, code="P-9")

    found = footing_of((*ALIKE, unknown, short, early), profile(rest=RESTING))

    assert len(found.reared) == 3
    assert found.left_out == (
        LeftOut("P-7", "not_measured"),
        LeftOut("P-8", "not_measured"),
        LeftOut("P-9", "hatched_within_rest"),
    )


def measured_until(share: float) -> PastClutch:
    hours_c = np.full(24 * 100, 26.0)
    hours_c[round(len(hours_c) * share) :] = math.nan
    return replace(past((100,), 26.0), track=Track(0, hours_c))


def test_four_fifths_of_the_hours_are_enough() -> None:
    assert footing_of([measured_until(0.8)], profile()).left_out == ()
    assert len(footing_of([measured_until(0.79)], profile()).left_out) == 1


def test_median_egg_and_spread_of_a_clutch() -> None:
    found = footing_of([past((100, 101, 104, 120), 26.0)], profile(rest=RESTING))

    [one] = found.reared
    assert (one.first, one.middle, one.last) == (100, 102.5, 120)
    assert one.developing_days == 37.5
    assert one.mean_c == 26.0


def test_asked_half_way_but_before_the_first_egg() -> None:
    reared = footing_of(
        [past((200,), 26.0), past((210,), 26.0), past((80, 90), 26.0)], profile()
    ).reared

    # Half of the median, 200; the last one's first egg hatched on day 80.
    assert [asked_on_day(one, reared) for one in reared] == [100, 100, 79]
