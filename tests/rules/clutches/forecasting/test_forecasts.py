"""Windows of groups of eggs: where they stand, when they open, what they say."""

import math
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from clutches.rules.facts import EggGroup, PastClutch, PhasePlan, Track
from clutches.rules.forecasting import Window, forecast, forecasts_of
from clutches.rules.vocabulary import ForecastBasis, PhaseKind
from husbandry.rules.clock import LocalDay
from husbandry.rules.profiles.values import Profile
from tests.rules.clutches.forecasting.made import (
    LAID_ON,
    UTC_ZONE,
    group,
    herd,
    past,
    profile,
    track,
)
from tests.rules.clutches.incubation.made import VEILED, night, phase, plan

ALIKE = herd([26.0] * 3, zero=16.0, total=1300.0, rest=65)
APART = herd([24.0, 25.0, 26.0, 27.0, 28.0], zero=16.0, total=1300.0, rest=65)
RESTING = profile(rest=("50", "80"))
AT_26 = plan(phase("25.0", "27.0"))
NO_TRACK = Track(0, np.empty(0))


def asked(
    eggs: EggGroup,
    warm: Track,
    own: tuple[PastClutch, ...],
    of: Profile,
    *,
    day: int,
) -> Window:
    on = eggs.laid_on + timedelta(days=day)
    found = forecast(eggs, warm, own, of, on=on, zone=UTC_ZONE)
    assert found is not None
    return found


def days(window: Window, laid_on: date = LAID_ON) -> tuple[int, int, int]:
    ends = window.earliest_on, window.likely_on, window.latest_on
    early, likely, late = ((on - laid_on).days for on in ends)
    return early, likely, late


def test_first_clutch_on_record_hatched_within_the_profiles_window() -> None:
    # Stahl's review: laid in September 1990, hatched in March 1991.
    eggs = group(laid_on=date(1990, 9, 15))

    found = asked(eggs, NO_TRACK, (), VEILED, day=1)

    assert found.basis is ForecastBasis.PROFILE_WINDOW
    assert found.earliest_on <= date(1991, 3, 31) <= found.latest_on
    assert days(found, eggs.laid_on) == (180, 228, 275)
    assert (found.coverage, found.development) == (None, None)
    assert found.evidence["why"] == "few_clutches"


def test_published_rate_alone_states_no_coverage_and_errs_early() -> None:
    # Lin, Du, Shen 2005: 20 days at 24 °C, then 27 °C: day 37.83.
    published = profile(zero="16.535", degree_days="335.93")

    found = asked(group(), track((20, 24.0), (10, 27.0)), (), published, day=30)

    assert found.basis is ForecastBasis.PUBLISHED_RATE
    assert found.coverage is None
    early, likely, late = days(found)
    # 85 and 110 % of 335.93: 13.02 and 21.04 days of 10.465 after the first twenty.
    assert (early, likely, late) == (33, 38, 42)
    assert likely - early > late - likely
    assert found.development == pytest.approx((149.302 + 104.65) / 335.93, abs=1e-3)


def test_published_rate_is_mended_by_own_clutches() -> None:
    published = profile(zero="16", degree_days="400")
    own = herd([26.0] * 4, zero=16.0, total=370.0)

    found = asked(group(plan=AT_26), NO_TRACK, own, published, day=0)

    # The rate alone says 40; ours took 37.
    assert days(found)[1] == 37
    assert found.coverage == 0.9
    assert found.evidence["bias_days"] == -3.0
    assert found.evidence["past"] == 4


def test_own_clutches_kept_alike() -> None:
    own = (
        past((190, 195, 200), 26.0, code="P-1"),
        past((192, 197, 201), 26.2, code="P-2"),
        past((188, 193, 205), 25.9, code="P-3"),
    )

    found = asked(group(plan=AT_26), track((100, 26.1)), own, RESTING, day=100)

    assert found.basis is ForecastBasis.OWN_CLUTCHES
    assert found.coverage == 0.9
    assert found.development is None
    early, likely, late = days(found)
    # Means 190 and 202, deviations 2 and 2.65, t 2.92 for three, by √(4/3).
    assert (early, likely, late) == (183, 195, 211)
    assert found.evidence["alike_c"] == pytest.approx(26.03, abs=0.01)
    assert found.evidence["zero_c"] is None


@pytest.mark.parametrize(
    ("celsius", "why"),
    [(26.4, ""), (26.6, "kept_otherwise"), (24.0, "kept_otherwise")],
)
def test_clutches_kept_otherwise_say_nothing(celsius: float, why: str) -> None:
    found = asked(group(), track((100, celsius)), ALIKE, RESTING, day=100)

    assert found.evidence["why"] == why
    assert (found.basis is ForecastBasis.PROFILE_WINDOW) == bool(why)


def test_cool_phase_within_the_rest_does_not_tell_who_was_kept_alike() -> None:
    kept = plan(
        phase("18.0", "20.0", days=30, kind=PhaseKind.COOL), phase("25.0", "27.0")
    )

    found = asked(group(plan=kept), NO_TRACK, ALIKE, RESTING, day=0)

    assert found.basis is ForecastBasis.OWN_CLUTCHES
    assert found.evidence["alike_c"] == 26.0


def test_own_rate_holds_for_temperatures_between() -> None:
    found = asked(group(), track((100, 26.5)), APART, RESTING, day=100)

    # 65 days of rest and 1300 / 10.5.
    assert days(found)[1] == pytest.approx(65 + 1300 / 10.5, abs=1)
    assert found.evidence["zero_c"] == pytest.approx(16.0, abs=0.3)
    assert found.development == pytest.approx(35 * 10.5 / 1300, abs=0.02)
    assert found.coverage == 0.9


def test_set_points_hold_after_the_last_hour() -> None:
    cool_first = plan(
        phase("18.0", "20.0", days=60, kind=PhaseKind.COOL), phase("25.0", "27.0")
    )

    by_plan = asked(group(plan=cool_first), track((40, 19.0)), APART, RESTING, day=40)
    lately = asked(group(), track((40, 26.0)), APART, RESTING, day=40)

    assert by_plan.likely_on == lately.likely_on
    assert by_plan.evidence["ahead_by"] == "plan"
    assert lately.evidence["ahead_by"] == "last_days"


def test_hours_nobody_measured_are_counted() -> None:
    warm = track((50, 26.0), (50, math.nan))

    found = asked(group(plan=AT_26), warm, APART, RESTING, day=100)

    assert found.evidence["measured"] == 0.5
    assert found.evidence["hours"] == 2400


@pytest.mark.parametrize(
    ("eggs", "warm", "why"),
    [
        (group(), NO_TRACK, "not_measured"),
        (group(), track((30, math.nan)), "not_measured"),
        (group(), track((30, 15.0)), "too_cool"),
    ],
)
def test_falls_back_to_the_profiles_window(
    eggs: EggGroup, warm: Track, why: str
) -> None:
    found = asked(eggs, warm, APART, RESTING, day=30)

    assert found.basis is ForecastBasis.PROFILE_WINDOW
    assert found.evidence["why"] == why
    assert found.evidence["past"] == 0
    assert days(found) == (180, 228, 275)


def test_published_rate_too_cool_for_the_late_end() -> None:
    published = profile(zero="16", degree_days="100")
    # 100 degree-days are done on day 10; 110 never come.
    short = plan(phase("25.0", "27.0", days=10), phase("12.0", "14.0"))

    found = asked(group(plan=short), NO_TRACK, (), published, day=0)

    assert found.evidence["why"] == "too_cool"


def test_nothing_to_be_told_without_a_window() -> None:
    bare = profile(hatch=None)

    assert (
        forecast(group(), NO_TRACK, (), bare, on=LAID_ON, zone=UTC_ZONE)
        is forecast(
            group(),
            NO_TRACK,
            (),
            profile(hatch=("180", None)),
            on=LAID_ON,
            zone=UTC_ZONE,
        )
        is None
    )


@pytest.mark.parametrize(
    ("day", "eggs", "expected"),
    [
        (100, group(), (180, 228, 275)),
        (179, group(), (180, 228, 275)),
        # Nothing hatched until the end of day 200.
        (200, group(), (201, 228, 275)),
        (260, group(), (261, 261, 275)),
        (274, group(), (275, 275, 275)),
        # Over: it stays as it was, and they are late.
        (275, group(), (180, 228, 275)),
        (300, group(), (180, 228, 275)),
        # It has begun: the window stays as it was.
        (200, group(pipped=1), (180, 228, 275)),
        (200, group(hatched=1), (180, 228, 275)),
    ],
)
def test_no_day_of_an_open_window_lies_in_the_past(
    day: int, eggs: EggGroup, expected: tuple[int, int, int]
) -> None:
    found = asked(eggs, NO_TRACK, (), profile(), day=day)

    assert days(found) == expected
    assert found.evidence["begun"] == bool(eggs.pipped or eggs.hatched)


WARMER = st.lists(st.floats(0, 4), min_size=1, max_size=90)


@given(st.sampled_from([AT_26, None]), st.floats(20, 28), WARMER, st.integers(0, 300))
def test_warmer_is_never_later(
    kept: PhasePlan | None, celsius: float, warmer: list[float], day: int
) -> None:
    cool = track((len(warmer), celsius))
    warm = Track(0, cool.hours_c + np.repeat(warmer, 24))

    slow = asked(group(plan=kept), cool, APART, RESTING, day=day)
    fast = asked(group(plan=kept), warm, APART, RESTING, day=day)

    assert slow.basis is fast.basis is ForecastBasis.OWN_CLUTCHES
    for one, other in zip(days(fast), days(slow), strict=True):
        assert one <= other


@given(st.permutations(APART))
def test_order_of_clutches_does_not_matter(own: list[PastClutch]) -> None:
    found = asked(group(), track((80, 26.5)), tuple(own), RESTING, day=80)
    known = asked(group(), track((80, 26.5)), APART, RESTING, day=80)

    assert days(found) == days(known)


def test_whole_night_is_told_species_by_species() -> None:
    other = replace(group(), clutch=8, species=2)
    strange = replace(group(), clutch=9, species=3)
    made = night(
        group(),
        other,
        strange,
        day=LocalDay(LAID_ON + timedelta(days=100), 0, 86400),
        tracks={(7, 3): track((100, 26.0))},
        past=(*ALIKE, *(replace(one, species=2) for one in ALIKE[:2])),
        profiles={1: (1, RESTING), 2: (1, profile(hatch=("50", "60")))},
    )

    found = forecasts_of(made)

    assert found.keys() == {(7, 3), (8, 3)}
    assert found[7, 3] == asked(group(), track((100, 26.0)), ALIKE, RESTING, day=100)
    assert found[8, 3].basis is ForecastBasis.PROFILE_WINDOW
    assert days(found[8, 3]) == (50, 55, 60)
