"""Growth curves in words, on data that others published."""

import pytest

from core.units import MassUnit
from husbandry.rules.growth.choosing import choose_growth
from husbandry.rules.growth.fits import AsymptoteDoubt, NotFitted
from husbandry.rules.growth.projecting import NotProjected, Projection, age_at_mass
from husbandry.rules.sentences.growth_curves import (
    DOUBTS,
    NAMES,
    REFUSALS,
    SILENCES,
    told,
    told_age,
)
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import GrowthModel
from tests.rules.growth import weighed


def test_rat42_levels_off() -> None:
    # NIST: asymptote 72.462 g, deviation 1.734 g; t of 6 degrees of freedom 2.447.
    choice = choose_growth(weighed.RAT42_X, weighed.RAT42_Y)

    assert told(choice) == (
        "The logistic curve describes these 9 weighings best, with a weight of 98 % "
        "among 4 curves.",
        "It levels off at 72.5 g, 95 % interval 68.2 g to 76.7 g.",
    )


def test_masses_are_told_in_the_unit_of_the_reader() -> None:
    choice = choose_growth(weighed.RAT42_X, weighed.RAT42_Y)

    assert told(choice, Units(mass=MassUnit.OZ))[1] == (
        "It levels off at 2.56 oz, 95 % interval 2.41 oz to 2.71 oz."
    )


def test_chick_1_is_not_given_a_final_mass() -> None:
    sentences = told(choose_growth(weighed.CHICK_DAYS, weighed.CHICK_G))

    assert sentences == (
        "The logistic curve describes these 12 weighings best, with a weight of 63 % "
        "among 4 curves.",
        "The asymptote is not supported by these data: fewer than three weighings come "
        "after the age of fastest growth, so the slowing has not been seen.",
    )
    assert "937" not in " ".join(sentences)


def test_rivals_are_told() -> None:
    sentences = told(choose_growth(weighed.BOXBOD_X, weighed.BOXBOD_Y))

    assert sentences[2:] == (
        "The Gompertz curve describes them nearly as well (AICc 0.0 higher).",
        "The logistic curve describes them nearly as well (AICc 0.2 higher).",
    )


def test_five_weighings() -> None:
    sentences = told(choose_growth(weighed.RAT42_X[::2], weighed.RAT42_Y[::2]))

    assert sentences[0].endswith(
        "by the smallest misfit alone, for there are too few weighings to weigh the "
        "curves."
    )
    assert sentences[-1] == "The Richards curve was not fitted: too few weighings."


def test_no_curve_at_all() -> None:
    assert told(choose_growth((1, 2), (3, 4)))[:2] == (
        "No growth curve could be fitted.",
        "The logistic curve was not fitted: too few weighings.",
    )


def test_one_curve_alone() -> None:
    choice = choose_growth(
        weighed.RAT42_X, weighed.RAT42_Y, models=(GrowthModel.LOGISTIC,)
    )

    assert told(choice)[0] == "Only the logistic curve could be fitted to 9 weighings."


@pytest.mark.parametrize(
    ("low", "high", "interval"),
    [
        (60.4, 72.0, "60 to 72 days"),
        (60.4, None, "from 60 days on, its end open"),
        (None, 72.0, "up to 72 days, its beginning open"),
        (None, None, "open at both ends"),
    ],
)
def test_age_with_its_interval(
    low: float | None, high: float | None, interval: str
) -> None:
    projection = Projection(60.0, 65.2, low, high)

    assert told_age(projection) == (
        f"60.0 g at an age of 65 days, 95 % interval {interval}."
    )


def test_no_age_says_why() -> None:
    best = choose_growth(weighed.CHICK_DAYS, weighed.CHICK_G).best
    assert best is not None

    assert told_age(age_at_mass(best, mass_g=400)) == (
        "No age is given for 400.0 g: it would lie beyond the weighings, and the "
        "asymptote is not supported by these data."
    )


def test_a_projection_without_age_or_reason_is_no_projection() -> None:
    with pytest.raises(ValueError, match="has an age or says why not"):
        told_age(Projection(60.0, None, None, None))


def test_every_word_has_its_sentence() -> None:
    assert set(NAMES) == set(GrowthModel)
    assert set(DOUBTS) == set(AsymptoteDoubt)
    assert set(REFUSALS) == set(NotFitted)
    assert set(SILENCES) == set(NotProjected)
