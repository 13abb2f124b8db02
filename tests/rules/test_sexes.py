"""Sexes and how they are known."""

import pytest

from husbandry.rules.sexes import (
    UNSEXED,
    SexError,
    Sexing,
    check_sexing,
    sex_by_heel_spur,
)
from husbandry.rules.vocabulary import Confidence, Sex, SexBasis


def test_a_spur_makes_a_male_at_any_age() -> None:
    # Males carry a tarsal spur from hatching (Animal Diversity Web).
    assert sex_by_heel_spur(spur=True) == Sexing(
        Sex.MALE, SexBasis.HEEL_SPUR, Confidence.CONFIRMED
    )
    assert sex_by_heel_spur(spur=False) == Sexing(
        Sex.FEMALE, SexBasis.HEEL_SPUR, Confidence.LIKELY
    )


@pytest.mark.parametrize(
    "sexing",
    [
        UNSEXED,
        sex_by_heel_spur(spur=True),
        sex_by_heel_spur(spur=False),
        Sexing(Sex.FEMALE, SexBasis.LAID_EGGS, Confidence.CONFIRMED),
        # Looked at, and still not known: not the same as never looked at.
        Sexing(Sex.UNKNOWN, SexBasis.HEEL_SPUR, Confidence.UNCERTAIN),
    ],
)
def test_what_fits_together(sexing: Sexing) -> None:
    check_sexing(sexing)


@pytest.mark.parametrize(
    ("sexing", "field"),
    [
        (Sexing(Sex.MALE, SexBasis.NOT_SEXED, Confidence.LIKELY), "sex_basis"),
        (Sexing(Sex.MALE, SexBasis.LAID_EGGS, Confidence.CONFIRMED), "sex"),
        (Sexing(Sex.UNKNOWN, SexBasis.LAID_EGGS, Confidence.UNCERTAIN), "sex"),
        (
            Sexing(Sex.UNKNOWN, SexBasis.HEEL_SPUR, Confidence.CONFIRMED),
            "sex_confidence",
        ),
    ],
)
def test_what_does_not(sexing: Sexing, field: str) -> None:
    with pytest.raises(SexError) as refused:
        check_sexing(sexing)

    assert set(refused.value.fields) == {field}
