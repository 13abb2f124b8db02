"""Which curve is told, on published data and by hand."""

from dataclasses import replace

import numpy as np
import pytest

from husbandry.rules.growth.choosing import Choice, LeftOut, choose_growth
from husbandry.rules.growth.curves import CURVES
from husbandry.rules.growth.fits import AsymptoteDoubt, NotFitted
from husbandry.rules.growth.fitting import fit_growth
from husbandry.rules.vocabulary import GrowthModel
from tests.rules.growth import weighed


def test_rat42_is_logistic() -> None:
    choice = choose_growth(weighed.RAT42_X, weighed.RAT42_Y)

    assert choice.best == fit_growth(
        weighed.RAT42_X, weighed.RAT42_Y, model=GrowthModel.LOGISTIC
    )
    assert choice.asymptote_supported
    assert choice.left_out == ()
    # 9 ln(21.794 / 8.057) = 8.956 between curves of as many parameters.
    by_model = {r.fit.model: r for r in choice.ranked}
    assert by_model[GrowthModel.GOMPERTZ].difference == pytest.approx(8.956, abs=2e-3)
    assert not by_model[GrowthModel.GOMPERTZ].rival


def test_weights_are_those_of_the_differences() -> None:
    ranked = choose_growth(weighed.RAT42_X, weighed.RAT42_Y).ranked

    weights = [r.weight or 0 for r in ranked]
    assert sum(weights) == pytest.approx(1)
    assert weights == sorted(weights, reverse=True)
    assert ranked[0].difference == 0
    for r in ranked:
        assert (r.weight or 0) / weights[0] == pytest.approx(
            np.exp(-(r.difference or 0) / 2)
        )


def test_chick_1_is_not_given_a_final_mass() -> None:
    choice = choose_growth(weighed.CHICK_DAYS, weighed.CHICK_G)

    assert choice.best is not None
    assert choice.best.model is GrowthModel.LOGISTIC
    assert choice.best.why is AsymptoteDoubt.INFLECTION_NOT_PASSED
    assert not choice.asymptote_supported


def test_curves_that_end_elsewhere_speak_against_the_best() -> None:
    # Drawn once from a Gompertz curve that ends at 150 g, scattered by 3 %. The logistic
    # curve fits a little better and, alone, would promise 117 to 140 g.
    ages = (5, 24, 42, 61, 80, 98, 117, 135, 154, 173, 191, 210)
    masses = (1.3, 3.7, 9.5, 18.3, 30.8, 45.0, 57.4, 74.9, 87.2, 112.4, 112.2, 118.7)

    choice = choose_growth(ages, masses)

    first, second, *_ = choice.ranked
    assert (first.fit.model, second.fit.model) == (
        GrowthModel.LOGISTIC,
        GrowthModel.GOMPERTZ,
    )
    assert second.rival
    alone = fit_growth(ages, masses, model=GrowthModel.LOGISTIC)
    assert alone.asymptote_supported
    assert alone.asymptote_interval_g[1] < 150
    assert second.fit.values[0] == pytest.approx(150, abs=5)
    assert first.fit == replace(alone, why=AsymptoteDoubt.CURVES_DISAGREE)
    assert not choice.asymptote_supported


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize(
    ("model", "truth"),
    [
        (GrowthModel.LOGISTIC, (150.0, 0.03, 120.0)),
        (GrowthModel.GOMPERTZ, (150.0, 0.015, 100.0)),
        (GrowthModel.VON_BERTALANFFY, (150.0, 0.01, -5.0)),
    ],
)
def test_the_curve_an_animal_grew_by_is_found(
    model: GrowthModel, truth: tuple[float, ...], seed: int
) -> None:
    ages = np.linspace(0, 500, 60)
    noise = np.random.default_rng(seed).normal(0, 1, 60)
    masses = np.maximum(CURVES[model].values(np.array(truth), ages) + noise, 0.5)

    choice = choose_growth(ages.tolist(), masses.tolist())

    # Richards' curve holds the three others and may come first, by little.
    assert choice.best is not None
    assert choice.best.model in (model, GrowthModel.RICHARDS)
    assert {r.fit.model for r in choice.ranked if r.rival} >= {model}


def test_five_weighings_are_ranked_by_misfit_alone() -> None:
    choice = choose_growth(weighed.RAT42_X[::2], weighed.RAT42_Y[::2])

    sums = [r.fit.residual_sum_g2 for r in choice.ranked]
    assert sums == sorted(sums)
    assert len(sums) == 3
    assert {(r.difference, r.weight) for r in choice.ranked} == {(None, None)}
    assert choice.left_out == (LeftOut(GrowthModel.RICHARDS, NotFitted.TOO_FEW_POINTS),)
    assert not choice.asymptote_supported


def test_a_curve_without_aicc_comes_last() -> None:
    # Six weighings: AICc exists for three parameters, not for four.
    choice = choose_growth(weighed.BOXBOD_X, weighed.BOXBOD_Y)

    assert choice.ranked[-1].fit.model is GrowthModel.RICHARDS
    assert choice.ranked[-1].weight is None
    assert not choice.ranked[-1].rival
    assert sum(r.weight or 0 for r in choice.ranked) == pytest.approx(1)


@pytest.mark.parametrize(
    ("ages", "masses", "reason"),
    [
        ((), (), NotFitted.TOO_FEW_POINTS),
        ((1, 2), (3, 4), NotFitted.TOO_FEW_POINTS),
        ((5.0,) * 9, range(1, 10), NotFitted.TOO_FEW_AGES),
        (range(10), range(20, 10, -1), NotFitted.SHRINKING),
        (range(10), (7.0,) * 10, NotFitted.ALL_ALIKE),
    ],
)
def test_without_any_curve_each_says_why(
    ages: tuple[float, ...], masses: tuple[float, ...], reason: NotFitted
) -> None:
    assert choose_growth(ages, masses) == Choice(
        len(ages), (), tuple(LeftOut(model, reason) for model in GrowthModel)
    )
    assert choose_growth(ages, masses).best is None
    assert not choose_growth(ages, masses).asymptote_supported


def test_a_search_without_end_is_left_out() -> None:
    # As a hatchling and full grown: any rate that is fast enough does as well.
    ages, masses = (0, 0, 0, 0, 100, 200, 300, 400), (5.0,) * 4 + (50.0,) * 4

    choice = choose_growth(ages, masses)

    assert LeftOut(GrowthModel.GOMPERTZ, NotFitted.DID_NOT_CONVERGE) in choice.left_out
    fit = fit_growth(ages, masses, model=GrowthModel.GOMPERTZ)
    assert (fit.converged, fit.why) == (False, AsymptoteDoubt.DID_NOT_CONVERGE)


def test_only_the_asked_models_are_tried() -> None:
    choice = choose_growth(
        weighed.RAT42_X, weighed.RAT42_Y, models=(GrowthModel.GOMPERTZ,)
    )

    assert [r.fit.model for r in choice.ranked] == [GrowthModel.GOMPERTZ]


def test_bad_numbers_are_refused() -> None:
    with pytest.raises(ValueError, match="A mass of nan g"):
        choose_growth((1, 2), (1, float("nan")))


STALLED_DAYS = (46, 49, 52, 55, 58, 61, 64, 67, 70, 73, 76, 79)
STALLED_G = (4.3, 4.7, 5.0, 5.4, 5.8, 6.2, 6.21, 6.22, 6.2, 6.22, 6.19, 6.21)


def test_a_young_animal_that_stopped_is_not_called_grown() -> None:
    """An adult female of the veiled chameleon weighs 85 g and more (a weak source)."""
    alone = choose_growth(STALLED_DAYS, STALLED_G).best
    young = choose_growth(STALLED_DAYS, STALLED_G, grown_from_g=85.0).best

    assert alone is not None
    assert young is not None
    assert alone.why is None
    assert young.why is AsymptoteDoubt.BELOW_GROWN
    assert young.parameters == alone.parameters


def test_a_curve_that_may_reach_the_grown_mass_is_left_alone() -> None:
    best = choose_growth(STALLED_DAYS, STALLED_G).best
    assert best is not None
    reached = best.asymptote_interval_g[1]

    at_limit = choose_growth(STALLED_DAYS, STALLED_G, grown_from_g=reached).best

    assert at_limit is not None
    assert at_limit.why is None
