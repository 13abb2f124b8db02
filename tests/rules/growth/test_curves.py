"""The curves against a handbook's numbers, each other and complex steps."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from husbandry.rules.growth.curves import CURVES, SERIES_BELOW
from husbandry.rules.vocabulary import GrowthModel

LOGISTIC = CURVES[GrowthModel.LOGISTIC]
GOMPERTZ = CURVES[GrowthModel.GOMPERTZ]
BERTALANFFY = CURVES[GrowthModel.VON_BERTALANFFY]
RICHARDS = CURVES[GrowthModel.RICHARDS]
AGES = np.array([-50.0, 0.0, 3.0, 50.0, 99.0, 100.0, 101.0, 150.0, 400.0])


@pytest.mark.parametrize(
    ("model", "place", "age", "expected"),
    [
        # Formulas of the virtual handbook of Brey; S 150 g, K 0.02/day. By hand:
        # 150/e, 150/2, 150 exp(-1/e), 150/(1 + 1/e), 150 (1 - 1/e).
        (GrowthModel.GOMPERTZ, 100, 100, 55.1819),
        (GrowthModel.LOGISTIC, 100, 100, 75.0),
        (GrowthModel.GOMPERTZ, 100, 150, 103.8301),
        (GrowthModel.LOGISTIC, 100, 150, 109.6588),
        (GrowthModel.VON_BERTALANFFY, 0, 50, 94.8181),
        (GrowthModel.VON_BERTALANFFY, 50, 50, 0.0),
    ],
)
def test_values_by_hand(
    model: GrowthModel, place: float, age: float, expected: float
) -> None:
    found = CURVES[model].values(np.array([150.0, 0.02, place]), np.array([age]))

    assert found == pytest.approx([expected], abs=1e-4)


@pytest.mark.parametrize("shape", [-0.5, 0.0, 0.4, 1.0, 4.0])
def test_richards_by_hand_at_its_inflection(shape: float) -> None:
    # (1 + v)^(-1/v), and 1/e in the limit.
    expected = 150 * ((1 + shape) ** (-1 / shape) if shape else np.exp(-1))

    found = RICHARDS.values(np.array([150.0, 0.02, 100.0, shape]), np.array([100.0]))

    assert found == pytest.approx([expected])


def test_richards_of_shape_one_is_the_logistic_curve() -> None:
    assert_allclose(
        RICHARDS.values(np.array([150, 0.02, 100, 1.0]), AGES),
        LOGISTIC.values(np.array([150, 0.02, 100]), AGES),
        rtol=1e-14,
    )


@pytest.mark.parametrize(
    ("shape", "rtol"), [(0.0, 0.0), (1e-3, 0.3), (1e-6, 3e-4), (1e-13, 1e-10)]
)
def test_richards_tends_to_the_gompertz_curve(shape: float, rtol: float) -> None:
    assert_allclose(
        RICHARDS.values(np.array([150, 0.02, 100, shape]), AGES),
        GOMPERTZ.values(np.array([150, 0.02, 100]), AGES),
        rtol=rtol,
    )


def test_richards_tends_to_the_von_bertalanffy_curve() -> None:
    after = AGES[AGES > 100]

    assert_allclose(
        RICHARDS.values(np.array([150, 0.02, 100, -1 + 1e-9]), after),
        BERTALANFFY.values(np.array([150, 0.02, 100]), after),
        rtol=1e-6,
    )


def test_richards_below_shape_zero_is_nothing_before_it_begins() -> None:
    # 1 - 0.5 exp(-0.02 (t - 100)) is 0 at t = 100 - 50 ln 2 = 65.34.
    parameters = np.array([150, 0.02, 100, -0.5])

    found = RICHARDS.values(parameters, np.array([0.0, 65.0, 66.0]))
    slopes = RICHARDS.jacobian(parameters, np.array([0.0, 65.0]))

    assert found[:2].tolist() == [0.0, 0.0]
    assert found[2] > 0
    assert_allclose(slopes, 0)


@pytest.mark.parametrize("shape", [0.3, 1.0, 2.5])
def test_growth_is_fastest_at_the_inflection(shape: float) -> None:
    ages = np.linspace(0, 300, 30001)

    masses = RICHARDS.values(np.array([150, 0.02, 120, shape]), ages)

    assert ages[np.argmax(np.gradient(masses, ages))] == pytest.approx(120, abs=0.02)


def shares_by_complex_numbers(model: GrowthModel, p: list[complex]) -> np.ndarray:
    """The formulas as written in books, for complex parameters."""
    decay = np.exp(-p[1] * (AGES - p[2]))
    match model:
        case GrowthModel.LOGISTIC:
            return p[0] / (1 + decay)
        case GrowthModel.GOMPERTZ:
            return p[0] * np.exp(-decay)
        case GrowthModel.VON_BERTALANFFY:
            return p[0] * (1 - decay)
        case GrowthModel.RICHARDS:
            return p[0] * (1 + p[3] * decay) ** (-1 / p[3])


@pytest.mark.parametrize("shape", [0.05, 0.7, 1.0, 5.0])
@pytest.mark.parametrize("model", GrowthModel)
def test_jacobian_is_that_of_complex_steps(model: GrowthModel, shape: float) -> None:
    curve = CURVES[model]
    parameters = [150.0, 0.02, 90.0, shape][: len(curve.names)]
    step = 1e-30
    expected = np.stack(
        [
            shares_by_complex_numbers(
                model, [p + step * 1j * (i == j) for j, p in enumerate(parameters)]
            ).imag
            / step
            for i in range(len(parameters))
        ],
        axis=-1,
    )

    found = curve.jacobian(np.array(parameters), AGES)

    # The reference itself cancels to some 1e-11 where the shape is small.
    assert_allclose(found, expected, rtol=1e-9, atol=1e-10)


@pytest.mark.parametrize("shape", [-0.4, 0.0, 1e-9, 0.002])
def test_jacobian_by_shape_is_that_of_differences(shape: float) -> None:
    ages, step = AGES[AGES > 60], 1e-5
    either = [
        RICHARDS.values(np.array([150, 0.02, 90, shape + s]), ages)
        for s in (-step, step)
    ]

    found = RICHARDS.jacobian(np.array([150, 0.02, 90, shape]), ages)[:, 3]

    assert_allclose(found, (either[1] - either[0]) / (2 * step), rtol=1e-6, atol=1e-6)


def test_slope_by_shape_is_smooth_where_the_series_ends() -> None:
    # At the inflection the shape is what the series is cut by.
    found = [
        RICHARDS.jacobian(np.array([1, 0.02, 0, shape]), np.zeros(1))[0, 3]
        for shape in (SERIES_BELOW * (1 - 1e-9), SERIES_BELOW * (1 + 1e-9))
    ]

    assert found[0] == pytest.approx(found[1], rel=1e-9)


@pytest.mark.parametrize("model", GrowthModel)
def test_nothing_overflows_far_out(model: GrowthModel) -> None:
    curve = CURVES[model]
    for shape in (-0.95, 0.0, 4.0):
        parameters = np.array([1e3, 10.0, 0.0, shape][: len(curve.names)])
        ages = np.array([-1e6, 1e6])

        assert np.all(np.isfinite(curve.values(parameters, ages)))
        assert np.all(np.isfinite(curve.jacobian(parameters, ages)))


@given(
    model=st.sampled_from(list(GrowthModel)),
    share=st.floats(0.01, 0.99),
    rate=st.floats(1e-3, 1),
    place=st.floats(-100, 500),
    shape=st.floats(-0.9, 4) | st.just(0.0) | st.just(1.0),
)
def test_age_at_a_share_leads_back_to_the_share(
    model: GrowthModel, share: float, rate: float, place: float, shape: float
) -> None:
    curve = CURVES[model]
    rest = (rate, place, shape)[: len(curve.names) - 1]

    age = curve.age_at_share(share, *rest)

    assert curve.share(np.array([age]), *rest) == pytest.approx([share], rel=1e-6)


def test_age_at_next_to_no_share_is_a_number() -> None:
    # (v exp(-K t))^(-1/v) far before the inflection: t = v (ln share + ln v / v) / K.
    age = RICHARDS.age_at_share(1e-300, 0.02, 0.0, 4.0)

    assert age == pytest.approx(4 * (np.log(1e-300) + np.log(4) / 4) / 0.02)
