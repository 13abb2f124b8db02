"""Fits against certified answers, a reference library and laws."""

import contextlib
import random
import warnings

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import curve_fit

from husbandry.rules.growth.curves import CURVES
from husbandry.rules.growth.fits import AsymptoteDoubt, NotFitted, NotFittedError
from husbandry.rules.growth.fitting import aicc, fit_growth
from husbandry.rules.vocabulary import GrowthModel
from tests.rules.growth import weighed

TRUTHS = {
    GrowthModel.LOGISTIC: (150.0, 0.03, 120.0),
    GrowthModel.GOMPERTZ: (150.0, 0.015, 100.0),
    GrowthModel.VON_BERTALANFFY: (150.0, 0.01, -5.0),
    GrowthModel.RICHARDS: (150.0, 0.03, 120.0, 0.5),
}


def grown(
    model: GrowthModel, *, seed: int = 1, n: int = 60, noise_g: float = 1.0
) -> tuple[list[float], list[float]]:
    """Weighings of an animal that grows by a known curve, more or less."""
    chance = np.random.default_rng(seed)
    ages = np.sort(chance.uniform(0, 400, n))
    masses = CURVES[model].values(np.array(TRUTHS[model]), ages)
    found = np.maximum(masses + chance.normal(0, noise_g, n), 0.5)
    return ages.tolist(), found.tolist()


def test_rat42_certified() -> None:
    fit = fit_growth(weighed.RAT42_X, weighed.RAT42_Y, model=GrowthModel.LOGISTIC)

    # b1 / (1 + exp(b2 - b3 x)): the asymptote is b1, the rate b3, the inflection b2/b3.
    asymptote, rate, inflection = fit.values
    assert (asymptote, inflection * rate, rate) == pytest.approx(
        weighed.RAT42, rel=1e-8
    )
    assert fit.residual_sum_g2 == pytest.approx(weighed.RAT42_RSS, rel=1e-9)
    assert fit.residual_standard_error_g == pytest.approx(
        weighed.RAT42_RESIDUAL_DEVIATION, rel=1e-8
    )
    b1, b2, b3 = weighed.RAT42_DEVIATIONS
    assert fit.parameter("asymptote_g").standard_error == pytest.approx(b1, rel=1e-6)
    assert fit.parameter("rate_per_day").standard_error == pytest.approx(b3, rel=1e-6)
    by = np.array([0, inflection, rate])
    assert (by @ np.array(fit.covariance) @ by) ** 0.5 == pytest.approx(b2, rel=1e-6)
    assert (fit.n, fit.degrees_of_freedom) == (9, 6)
    assert fit.converged
    assert fit.why is None
    assert fit.asymptote_supported


def test_boxbod_certified_with_the_zero_day_fixed() -> None:
    fit = fit_growth(
        weighed.BOXBOD_X,
        weighed.BOXBOD_Y,
        model=GrowthModel.VON_BERTALANFFY,
        fixed={"zero_day": 0.0},
    )

    asymptote, rate, zero = fit.parameters
    assert (asymptote.value, rate.value) == pytest.approx(weighed.BOXBOD, rel=1e-8)
    assert (asymptote.standard_error, rate.standard_error) == pytest.approx(
        weighed.BOXBOD_DEVIATIONS, rel=1e-6
    )
    assert (zero.value, zero.standard_error, zero.fixed) == (0.0, 0.0, True)
    assert fit.covariance[2] == (0.0, 0.0, 0.0)
    assert fit.residual_sum_g2 == pytest.approx(weighed.BOXBOD_RSS, rel=1e-9)
    assert fit.degrees_of_freedom == 4


def test_gompertz_through_rat42() -> None:
    # Refitted elsewhere: asymptote 82.832, residual sum 21.794.
    fit = fit_growth(weighed.RAT42_X, weighed.RAT42_Y, model=GrowthModel.GOMPERTZ)

    assert fit.parameter("asymptote_g").value == pytest.approx(82.832, abs=1e-3)
    assert fit.residual_sum_g2 == pytest.approx(21.794, abs=1e-3)


def test_chick_1_has_numbers_but_no_supported_asymptote() -> None:
    fit = fit_growth(weighed.CHICK_DAYS, weighed.CHICK_G, model=GrowthModel.LOGISTIC)

    # R writes the rate as its inverse; by the delta method its error is error/rate².
    asymptote, rate, inflection = fit.parameters
    assert (asymptote.value, inflection.value, 1 / rate.value) == pytest.approx(
        weighed.CHICK, rel=1e-4
    )
    assert (
        asymptote.standard_error,
        inflection.standard_error,
        rate.standard_error / rate.value**2,
    ) == pytest.approx(weighed.CHICK_ERRORS, rel=2e-3)
    assert fit.converged
    assert fit.why is AsymptoteDoubt.INFLECTION_NOT_PASSED
    assert not fit.asymptote_supported


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("model", GrowthModel)
def test_reference_library(model: GrowthModel, seed: int) -> None:
    ages, masses = grown(model, seed=seed)
    curve = CURVES[model]
    expected, covariance = curve_fit(
        lambda t, *p: curve.values(np.array(p), t),
        ages,
        masses,
        p0=TRUTHS[model],
        xtol=1e-14,
        ftol=1e-14,
        gtol=1e-14,
        method="trf",
        x_scale=np.abs(TRUTHS[model]),
    )

    fit = fit_growth(ages, masses, model=model)

    errors = np.sqrt(np.diagonal(covariance))
    assert fit.converged
    assert fit.values == pytest.approx(expected, rel=1e-5, abs=1e-5)
    assert [p.standard_error for p in fit.parameters] == pytest.approx(errors, rel=1e-3)
    assert fit.asymptote_supported
    assert abs(fit.values[0] - 150) < 4 * errors[0]


@pytest.mark.parametrize(
    ("residual_sum", "n", "parameters", "expected"),
    [
        # 10 ln 2 + 8 + 2·4·5 / 5, by hand.
        (20.0, 10, 3, 6.931472 + 8 + 8),
        # 6 ln 1 + 8 + 40 / 1.
        (6.0, 6, 3, 48.0),
        (6.0, 5, 3, None),
        (6.0, 4, 3, None),
    ],
)
def test_aicc_by_hand(
    residual_sum: float, n: int, parameters: int, expected: float | None
) -> None:
    found = aicc(residual_sum, n, parameters)

    assert found == (None if expected is None else pytest.approx(expected, abs=1e-6))


@pytest.mark.parametrize("model", GrowthModel)
def test_curve_without_misfit(model: GrowthModel) -> None:
    ages = np.linspace(0, 400, 20)
    masses = CURVES[model].values(np.array(TRUTHS[model]), ages)

    fit = fit_growth(ages.tolist(), masses.tolist(), model=model)

    assert fit.values == pytest.approx(TRUTHS[model], rel=1e-6)
    assert fit.residual_sum_g2 == pytest.approx(0, abs=1e-12)
    assert fit.aicc is not None
    assert fit.asymptote_supported


AGES = tuple(float(a) for a in range(0, 200, 20))


@pytest.mark.parametrize(
    ("ages", "masses", "reason"),
    [
        ((), (), NotFitted.TOO_FEW_POINTS),
        ((1.0, 2.0), (3.0, 4.0), NotFitted.TOO_FEW_POINTS),
        (AGES[:4], (5, 6, 7, 8), NotFitted.TOO_FEW_POINTS),
        ((3.0,) * 8, range(1, 9), NotFitted.TOO_FEW_AGES),
        ((1, 1, 2, 2, 3, 3), range(1, 7), NotFitted.TOO_FEW_AGES),
        (AGES, (42.0,) * 10, NotFitted.ALL_ALIKE),
        (AGES, range(100, 90, -1), NotFitted.SHRINKING),
        # Symmetrical about the middle: neither rising nor falling.
        (AGES[:5], (5, 6, 7, 6, 5), NotFitted.SHRINKING),
        # A straight line rises by 3.24 per 20 days, t = 1.73; 2.306 is wanted.
        (AGES, (5.0, *[50.0] * 9), NotFitted.LEVEL),
    ],
)
def test_no_curve_says_why(
    ages: tuple[float, ...], masses: tuple[float, ...], reason: NotFitted
) -> None:
    with pytest.raises(NotFittedError) as refused:
        fit_growth(ages, masses, model=GrowthModel.LOGISTIC)

    assert refused.value.reason is reason
    assert str(refused.value).endswith(".")


def test_two_levels_do_not_identify_a_curve() -> None:
    # As a hatchling and full grown: any rate that is fast enough does as well.
    ages, masses = (0, 0, 0, 0, 100, 200, 300, 400), (5.0,) * 4 + (50.0,) * 4

    with pytest.raises(NotFittedError) as refused:
        fit_growth(ages, masses, model=GrowthModel.VON_BERTALANFFY)

    assert refused.value.reason is NotFitted.NOT_IDENTIFIED


@pytest.mark.parametrize("model", GrowthModel)
def test_least_points_are_enough(model: GrowthModel) -> None:
    n = len(CURVES[model].names) + 2
    ages, masses = grown(model, n=400, seed=3)
    step = len(ages) // n

    fit = fit_growth(ages[::step][:n], masses[::step][:n], model=model)

    assert fit.degrees_of_freedom == 2
    assert fit.aicc is None
    assert not fit.asymptote_supported


@pytest.mark.parametrize(
    ("ages", "masses", "says"),
    [
        ((1, 2), (1,), "2 ages and 1 masses"),
        ((1, float("nan")), (1, 2), "An age of nan days"),
        ((1, float("inf")), (1, 2), "An age of inf days"),
        ((1, 2), (1, float("nan")), "A mass of nan g at 2 days"),
        ((1, 2), (1, float("inf")), "A mass of inf g"),
        ((1, 2), (0, 2), "A mass of 0 g at 1 days; 1e-06 to"),
        ((1, 2), (-3, 2), "A mass of -3 g"),
    ],
)
def test_bad_numbers_are_refused(
    ages: tuple[float, ...], masses: tuple[float, ...], says: str
) -> None:
    with pytest.raises(ValueError, match=says) as refused:
        fit_growth(ages, masses, model=GrowthModel.GOMPERTZ)

    assert not isinstance(refused.value, NotFittedError)


@pytest.mark.parametrize(
    ("fixed", "says"),
    [
        ({"asymptote_g": 3.0}, "'asymptote_g' cannot be fixed; rate_per_day"),
        ({"zero_day": 3.0}, "'zero_day' cannot be fixed"),
        ({"rate_per_day": 0.0}, "rate_per_day cannot be fixed at 0.0"),
        ({"shape": -1.0}, "shape cannot be fixed at -1.0"),
        ({"inflection_day": float("nan")}, "cannot be fixed at nan"),
    ],
)
def test_what_cannot_be_fixed_is_refused(fixed: dict[str, float], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        fit_growth(AGES, range(1, 11), model=GrowthModel.RICHARDS, fixed=fixed)


@pytest.mark.parametrize("shape", [0.0, 1.0])
def test_richards_of_fixed_shape_is_the_curve_it_names(shape: float) -> None:
    model = GrowthModel.LOGISTIC if shape else GrowthModel.GOMPERTZ
    ages, masses = grown(model)

    plain = fit_growth(ages, masses, model=model)
    fixed = fit_growth(ages, masses, model=GrowthModel.RICHARDS, fixed={"shape": shape})

    assert fixed.values[:3] == pytest.approx(plain.values, rel=1e-6)
    assert fixed.degrees_of_freedom == plain.degrees_of_freedom


def young(until_day: float) -> tuple[list[float], list[float]]:
    ages, masses = grown(GrowthModel.LOGISTIC, n=120, noise_g=0.4)
    kept = [(a, m) for a, m in zip(ages, masses, strict=True) if a <= until_day]
    return [a for a, _ in kept], [m for _, m in kept]


@pytest.mark.parametrize(
    ("model", "ages", "masses", "why"),
    [
        # Growing by more the larger it is: no end in sight.
        (
            GrowthModel.GOMPERTZ,
            AGES,
            [5 * 1.0002 ** (a * a) + a % 3 / 10 for a in AGES],
            AsymptoteDoubt.RUNS_AWAY,
        ),
        (GrowthModel.LOGISTIC, *young(120), AsymptoteDoubt.INFLECTION_NOT_PASSED),
        (GrowthModel.GOMPERTZ, *young(165), AsymptoteDoubt.TOO_FAR),
        (
            GrowthModel.LOGISTIC,
            AGES,
            (10.3, 19.7, 31.3, 40.2, 48.9, 60.7, 72.6, 81.9, 88.6, 97.5),
            AsymptoteDoubt.NO_BEND,
        ),
        (
            GrowthModel.LOGISTIC,
            weighed.RAT42_X[::2],
            weighed.RAT42_Y[::2],
            AsymptoteDoubt.TOO_FEW_POINTS,
        ),
        (
            GrowthModel.LOGISTIC,
            AGES,
            (10, 14, 40, 22, 60, 30, 80, 75, 55, 96),
            AsymptoteDoubt.TOO_UNCERTAIN,
        ),
    ],
)
def test_doubts(
    model: GrowthModel,
    ages: list[float],
    masses: list[float],
    why: AsymptoteDoubt,
) -> None:
    fit = fit_growth(ages, masses, model=model)

    assert fit.why is why
    assert not fit.asymptote_supported
    assert fit.values[0] > 0


def test_a_longer_life_supports_what_a_shorter_one_does_not() -> None:
    fit = fit_growth(*young(260), model=GrowthModel.LOGISTIC)

    assert fit.asymptote_supported
    low, high = fit.asymptote_interval_g
    assert low < 150 < high


def test_interval_holds_the_truth_about_95_times_in_100() -> None:
    held = 0
    for seed in range(200):
        ages, masses = grown(GrowthModel.GOMPERTZ, seed=seed, n=30, noise_g=3.0)
        fit = fit_growth(ages, masses, model=GrowthModel.GOMPERTZ)
        low, high = fit.asymptote_interval_g
        held += low <= 150 <= high

    # 190 is expected; three standard deviations of the count are 9.
    assert 181 <= held <= 199


def test_interval_does_not_reach_below_nothing() -> None:
    fit = fit_growth(weighed.CHICK_DAYS, weighed.CHICK_G, model=GrowthModel.LOGISTIC)

    # t with 9 degrees of freedom is 2.262: 937 ± 1054.
    assert fit.asymptote_interval_g == (0.0, pytest.approx(1991, abs=2))


def test_unknown_parameter() -> None:
    fit = fit_growth(weighed.RAT42_X, weighed.RAT42_Y, model=GrowthModel.LOGISTIC)

    with pytest.raises(KeyError):
        fit.parameter("shape")


@settings(max_examples=25, deadline=None)
@given(
    model=st.sampled_from(list(GrowthModel)),
    seed=st.integers(0, 10**6),
    factor=st.floats(0.01, 100),
    days=st.floats(-500, 500),
    chance=st.randoms(use_true_random=False),
)
def test_laws(
    model: GrowthModel, seed: int, factor: float, days: float, chance: random.Random
) -> None:
    ages, masses = grown(model, seed=seed, n=30)
    fit = fit_growth(ages, masses, model=model)
    assume(fit.why is not AsymptoteDoubt.RUNS_AWAY and fit.converged)

    order = list(range(30))
    chance.shuffle(order)
    shuffled = fit_growth(
        [ages[i] for i in order], [masses[i] for i in order], model=model
    )
    heavier = fit_growth(ages, [m * factor for m in masses], model=model)
    later = fit_growth([a + days for a in ages], masses, model=model)

    assert shuffled == fit
    asymptote, rate, place, *shape = fit.values
    assert heavier.values == pytest.approx(
        (asymptote * factor, rate, place, *shape), rel=1e-4, abs=1e-4
    )
    assert heavier.residual_sum_g2 == pytest.approx(fit.residual_sum_g2 * factor**2)
    assert later.values == pytest.approx(
        (asymptote, rate, place + days, *shape), rel=1e-4, abs=1e-3
    )
    assert (heavier.why, later.why) == (fit.why, fit.why)


@settings(max_examples=60, deadline=None)
@given(
    points=st.lists(
        st.tuples(st.integers(0, 1500), st.floats(0.1, 2000)), min_size=0, max_size=14
    ),
    model=st.sampled_from(list(GrowthModel)),
)
def test_any_weighings_give_a_fit_or_a_reason(
    points: list[tuple[int, float]], model: GrowthModel
) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        # Any other error, and any warning, fails the test.
        with contextlib.suppress(NotFittedError):
            fit = fit_growth(
                [a for a, _ in points], [m for _, m in points], model=model
            )
            assert np.all(np.isfinite(fit.values))
            assert np.all(np.isfinite(fit.covariance))
            assert fit.values[0] > 0
