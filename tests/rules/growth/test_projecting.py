"""Masses and ages read off a curve, and where it stays silent."""

from dataclasses import replace
from math import log

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import ArrayLike
from scipy import stats
from scipy.optimize import curve_fit

from husbandry.rules.growth.choosing import choose_growth
from husbandry.rules.growth.curves import CURVES
from husbandry.rules.growth.fits import AsymptoteDoubt, Fit
from husbandry.rules.growth.fitting import fit_growth
from husbandry.rules.growth.projecting import (
    Estimate,
    NotProjected,
    Projection,
    age_at_mass,
    mass_at,
    masses_at,
)
from husbandry.rules.vocabulary import GrowthModel
from tests.rules.growth import weighed

RAT42 = fit_growth(weighed.RAT42_X, weighed.RAT42_Y, model=GrowthModel.LOGISTIC)
CHICK = fit_growth(weighed.CHICK_DAYS, weighed.CHICK_G, model=GrowthModel.LOGISTIC)


def curve_of(fit: Fit, age: float) -> float:
    return float(CURVES[fit.model].values(np.array(fit.values), np.array([age]))[0])


def test_mass_at_is_that_of_the_certified_curve() -> None:
    b1, b2, b3 = weighed.RAT42

    found = mass_at(RAT42, 50.0)

    assert found.mass_g == pytest.approx(b1 / (1 + np.exp(b2 - b3 * 50)), rel=1e-8)


@pytest.mark.parametrize("age", [9.0, 30.0, 79.0, 200.0])
def test_band_is_that_of_a_reference_library(age: float) -> None:
    def model(t: ArrayLike, *p: float) -> np.ndarray:
        return p[0] / (1 + np.exp(p[1] - p[2] * np.asarray(t)))

    p, covariance = curve_fit(
        model, weighed.RAT42_X, weighed.RAT42_Y, p0=weighed.RAT42_STARTS[1]
    )
    steps = np.eye(3) * np.abs(p) * 1e-5
    slope = np.array(
        [(model(age, *(p + s)) - model(age, *(p - s))) / (2 * s.sum()) for s in steps]
    )
    half = stats.t.ppf(0.975, 6) * np.sqrt(slope @ covariance @ slope)

    found = mass_at(RAT42, age)

    assert found.low_g == pytest.approx(found.mass_g - half, abs=1e-3)
    assert found.high_g == pytest.approx(found.mass_g + half, abs=1e-3)


def test_ages_are_answered_in_their_order() -> None:
    assert masses_at(RAT42, (70.0, 20.0)) == (mass_at(RAT42, 70), mass_at(RAT42, 20))
    assert masses_at(RAT42, ()) == ()


def test_a_mass_is_not_below_nothing() -> None:
    ages, masses = range(0, 200, 20), (1, 30, 3, 50, 20, 70, 40, 90, 60, 99)

    found = mass_at(fit_growth(ages, masses, model=GrowthModel.LOGISTIC), 0.0)

    assert found.low_g == 0
    assert found.mass_g is not None
    assert found.mass_g > 0


def test_age_at_a_mass_by_hand() -> None:
    # t* - ln(S / m - 1) / K with the certified values, for 50 g.
    b1, b2, b3 = weighed.RAT42
    expected = (b2 - log(b1 / 50 - 1)) / b3

    found = age_at_mass(RAT42, mass_g=50.0)

    assert found.age_days == pytest.approx(expected, rel=1e-8)
    assert found.why_not is None
    # Where the band is narrow its ends are half its width by the slope away.
    there = mass_at(RAT42, expected)
    assert there.high_g is not None
    assert there.mass_g is not None
    slope = b3 * 50 * (1 - 50 / b1)
    width = (there.high_g - there.mass_g) / slope
    assert found.low_days == pytest.approx(expected - width, abs=0.2)
    assert found.high_days == pytest.approx(expected + width, abs=0.2)


def test_ends_of_the_interval_lie_on_the_band() -> None:
    found = age_at_mass(RAT42, mass_g=60.0)

    assert found.low_days is not None
    assert found.high_days is not None
    assert mass_at(RAT42, found.low_days).high_g == pytest.approx(60, abs=1e-6)
    assert mass_at(RAT42, found.high_days).low_g == pytest.approx(60, abs=1e-6)


def test_an_end_is_open_where_the_band_never_reaches() -> None:
    # The asymptote is 72.46 g, its 95 % interval from 68.22 g on.
    found = age_at_mass(RAT42, mass_g=70.0)

    assert found.age_days == pytest.approx(88.6, abs=0.5)
    assert found.low_days is not None
    assert found.low_days < 88
    assert found.high_days is None


def test_an_interval_may_begin_before_all_that_is_told() -> None:
    found = age_at_mass(RAT42, mass_g=curve_of(RAT42, 2.5))

    assert found.age_days == pytest.approx(2.5)
    assert found.low_days is None
    assert found.high_days is not None


@pytest.mark.parametrize(
    ("mass_g", "why_not"),
    [
        # Asymptote 72.462 g, 95 % interval to 72.462 + 2.447 × 1.734 = 76.705 g.
        (72.47, NotProjected.NEAR_THE_ASYMPTOTE),
        (76.70, NotProjected.NEAR_THE_ASYMPTOTE),
        (76.71, NotProjected.ABOVE_THE_ASYMPTOTE),
        (7000.0, NotProjected.ABOVE_THE_ASYMPTOTE),
        (1.0, NotProjected.BEFORE_THE_WEIGHINGS),
        (1e-300, NotProjected.BEFORE_THE_WEIGHINGS),
    ],
)
def test_masses_without_an_age(mass_g: float, why_not: NotProjected) -> None:
    found = age_at_mass(RAT42, mass_g=mass_g)

    assert found == Projection(mass_g, None, None, None, why_not)


@pytest.mark.parametrize("model", GrowthModel)
def test_masses_next_to_nothing_and_next_to_the_end(model: GrowthModel) -> None:
    ages = np.linspace(0, 400, 40)
    masses = 150 / (1 + np.exp(-0.03 * (ages - 120)))
    fit = fit_growth(ages.tolist(), masses.tolist(), model=model)
    end = float(np.nextafter(fit.values[0], 0))

    nothing = age_at_mass(fit, mass_g=5e-324)
    nearly = age_at_mass(fit, mass_g=end)

    # A von Bertalanffy curve begins at an age, within the margin before the weighings.
    assert nothing.age_days is None or model is GrowthModel.VON_BERTALANFFY
    assert nearly.why_not is None
    assert nearly.age_days is not None
    assert nearly.age_days > 700
    assert nearly.high_days is None or fit.residual_sum_g2 < 1e-9


def test_unsupported_asymptote_answers_within_the_weighings() -> None:
    # Chick 1 weighed 106 g on day 12; the curve is close.
    found = age_at_mass(CHICK, mass_g=106.0)

    assert found.age_days == pytest.approx(12, abs=0.5)
    assert found.low_days is not None
    assert found.high_days is not None
    assert found.low_days < 12 < found.high_days
    assert mass_at(CHICK, 12.0).mass_g == pytest.approx(106, abs=5)


@pytest.mark.parametrize("mass_g", [300.0, 900.0, 937.0, 1500.0, 1e9])
def test_unsupported_asymptote_is_silent_beyond(mass_g: float) -> None:
    assert age_at_mass(CHICK, mass_g=mass_g) == Projection(
        mass_g, None, None, None, NotProjected.ASYMPTOTE_NOT_SUPPORTED
    )


def test_margin_before_the_weighings_ends_at_hatching() -> None:
    later = [day + 40 for day in weighed.CHICK_DAYS]
    fit = fit_growth(later, weighed.CHICK_G, model=GrowthModel.LOGISTIC)

    before, first = masses_at(fit, (37.8, 38.0))

    assert before.why_not is NotProjected.BEFORE_THE_WEIGHINGS
    assert first.mass_g is not None
    # No animal has an age before it hatched, whatever the curve says.
    young = age_at_mass(CHICK, mass_g=curve_of(CHICK, -1.0))
    assert young.why_not is NotProjected.BEFORE_THE_WEIGHINGS


def test_a_curve_below_nothing_tells_no_mass() -> None:
    # Nearly a straight line that crosses zero about day 35.
    ages, masses = range(0, 140, 7), [1.0] * 6 + [float(7 * n) for n in range(1, 15)]
    fit = fit_growth(ages, masses, model=GrowthModel.VON_BERTALANFFY)

    estimates = masses_at(fit, tuple(map(float, ages)))

    assert curve_of(fit, 0.0) < 0
    assert estimates[0] == Estimate(0.0, None, None, None, NotProjected.NO_MASS)
    for told in estimates:
        assert (told.mass_g is None) == (curve_of(fit, told.age_days) <= 0)
        if told.mass_g is not None and told.low_g is not None:
            assert 0 <= told.low_g <= told.mass_g


def test_margin_beyond_the_weighings() -> None:
    # Weighed from day 0 to 21: a tenth of that is 2.1 days; day 0 is hatching.
    ages = (-0.1, 0.0, 23.0, 23.2)

    before, first, last, beyond = masses_at(CHICK, ages)

    assert before == Estimate(-0.1, None, None, None, NotProjected.BEFORE_THE_WEIGHINGS)
    assert first.mass_g is not None
    assert last.mass_g is not None
    assert beyond == Estimate(
        23.2, None, None, None, NotProjected.ASYMPTOTE_NOT_SUPPORTED
    )


def test_the_far_end_is_open_where_nothing_more_may_be_said() -> None:
    found = age_at_mass(CHICK, mass_g=curve_of(CHICK, 23.05))

    assert found.age_days == pytest.approx(23.05)
    assert found.high_days is None


def test_a_supported_asymptote_answers_later_on() -> None:
    found = mass_at(RAT42, 5000.0)

    assert found.mass_g == pytest.approx(72.4622, abs=1e-3)
    assert (found.low_g, found.high_g) == pytest.approx(RAT42.asymptote_interval_g)


def test_a_curve_that_was_not_found_says_nothing() -> None:
    lost = replace(RAT42, converged=False, why=AsymptoteDoubt.DID_NOT_CONVERGE)
    why_not = NotProjected.DID_NOT_CONVERGE

    assert mass_at(lost, 30) == Estimate(30, None, None, None, why_not)
    assert age_at_mass(lost, mass_g=50) == Projection(50, None, None, None, why_not)
    assert age_at_mass(lost, mass_g=90) == Projection(90, None, None, None, why_not)


@pytest.mark.parametrize("mass_g", [0.0, -1.0, float("nan"), float("inf")])
def test_what_is_no_mass_is_refused(mass_g: float) -> None:
    with pytest.raises(ValueError, match="a finite number above 0"):
        age_at_mass(RAT42, mass_g=mass_g)


@pytest.mark.parametrize("age", [float("nan"), float("inf")])
def test_what_is_no_age_is_refused(age: float) -> None:
    with pytest.raises(ValueError, match="a finite number is wanted"):
        mass_at(RAT42, age)


@settings(max_examples=60, deadline=None)
@given(
    seed=st.integers(0, 50),
    until_day=st.floats(60, 500),
    share=st.floats(0.001, 3),
)
def test_laws(seed: int, until_day: float, share: float) -> None:
    chance = np.random.default_rng(seed)
    ages = np.linspace(0, until_day, 14)
    masses = 150 / (1 + np.exp(-0.02 * (ages - 150))) + chance.normal(0, 0.5, 14)
    best = choose_growth(ages.tolist(), np.maximum(masses, 0.5).tolist()).best
    assert best is not None

    found = age_at_mass(best, mass_g=150 * share)

    if found.why_not is not None:
        assert (found.age_days, found.low_days, found.high_days) == (None, None, None)
        return
    assert found.age_days is not None
    assert found.low_days is None or found.low_days <= found.age_days + 1e-9
    assert found.high_days is None or found.high_days >= found.age_days - 1e-9
    there = mass_at(best, found.age_days)
    assert there.mass_g == pytest.approx(150 * share, rel=1e-6)
    assert there.low_g is not None
    assert there.high_g is not None
    assert there.low_g <= there.mass_g <= there.high_g
