"""What looks at heels settle."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import permutations

import pytest
from django.conf import settings
from hypothesis import given
from hypothesis import strategies as st

from clutches.rules.sexing import (
    Look,
    SexingError,
    Why,
    check_markable,
    seen_of,
    settle,
)
from clutches.rules.vocabulary import Heel
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.vocabulary import SexMark
from husbandry.rules.sexes import UNSEXED
from husbandry.rules.vocabulary import Confidence, Sex, SexBasis

P, A, U = Heel.PRESENT, Heel.ABSENT, Heel.UNCLEAR
AT = datetime(2026, 8, 1, 9, tzinfo=UTC)
ANNA, BEN = 1, 2
SHIPPED = settings.BASE_DIR / "husbandry" / "profiles" / "veiled_chameleon.yaml"


def look(left: Heel, right: Heel, by: int | None = ANNA, days: int = 0) -> Look:
    return Look(left, right, by, AT + timedelta(days=days))


@pytest.mark.parametrize(
    ("left", "right", "sex"),
    # Animal Diversity Web: males carry a tarsal spur from hatching. Common practice,
    # no source: a bump on the heel of each hind foot.
    [
        (P, P, Sex.MALE),
        (A, A, Sex.FEMALE),
        (P, A, Sex.UNKNOWN),
        (A, P, Sex.UNKNOWN),
        (P, U, Sex.UNKNOWN),
        (U, A, Sex.UNKNOWN),
        (U, U, Sex.UNKNOWN),
    ],
)
def test_one_look(left: Heel, right: Heel, sex: Sex) -> None:
    assert seen_of(look(left, right)) is sex


def test_without_a_look_nothing_is_known() -> None:
    verdict = settle([], second_look=True)

    assert (verdict.sexing, verdict.why) == (UNSEXED, None)


@pytest.mark.parametrize(
    ("second_look", "confidence", "why"),
    [
        (True, Confidence.LIKELY, Why.SECOND_LOOK),
        (False, Confidence.CONFIRMED, None),
    ],
)
def test_one_clear_look_is_as_much_as_the_policy_says(
    second_look: bool, confidence: Confidence, why: Why | None
) -> None:
    verdict = settle([look(P, P)], second_look=second_look)

    assert verdict.sexing.sex is Sex.MALE
    assert verdict.sexing.basis is SexBasis.HEEL_SPUR
    assert (verdict.sexing.confidence, verdict.why) == (confidence, why)


@pytest.mark.parametrize(
    ("looks", "sex", "why"),
    [
        ([look(A, A), look(A, A, BEN)], Sex.FEMALE, None),
        # The same person twice is no second person.
        ([look(A, A), look(A, A, ANNA, 1)], Sex.FEMALE, Why.SECOND_LOOK),
        # Nobody knows who looked.
        ([look(A, A, None), look(A, A, ANNA)], Sex.FEMALE, Why.SECOND_LOOK),
        ([look(P, P), look(A, A, BEN)], Sex.UNKNOWN, Why.DISAGREE),
        # Ben looked again and saw what Anna saw.
        ([look(P, P), look(A, A, BEN), look(P, P, BEN, 9)], Sex.MALE, None),
        ([look(P, A)], Sex.UNKNOWN, Why.ONE_SIDED),
        ([look(P, P), look(P, A, BEN)], Sex.UNKNOWN, Why.ONE_SIDED),
        ([look(P, P), look(U, P, BEN)], Sex.UNKNOWN, Why.UNCLEAR),
    ],
)
def test_looks_together(looks: list[Look], sex: Sex, why: Why | None) -> None:
    verdict = settle(looks, second_look=True)

    assert (verdict.sexing.sex, verdict.why) == (sex, why)
    confirmed = verdict.sexing.confidence is Confidence.CONFIRMED
    assert confirmed is (why is None)


looks_made = st.lists(
    st.builds(
        look,
        st.sampled_from(Heel),
        st.sampled_from(Heel),
        st.sampled_from([1, 2, 3, None]),
        st.integers(0, 50),
    ),
    max_size=4,
    unique_by=lambda one: one.at,
)


@given(looks_made, st.booleans())
def test_the_order_in_which_they_are_told_changes_nothing(
    looks: list[Look], second_look: bool
) -> None:
    told = {settle(some, second_look=second_look) for some in permutations(looks)}

    assert len(told) == 1


@given(looks_made)
def test_nothing_is_confirmed_without_two_people(looks: list[Look]) -> None:
    verdict = settle(looks, second_look=True)

    people = {one.looked_by for one in looks} - {None}
    if verdict.sexing.confidence is Confidence.CONFIRMED:
        assert len(people) >= 2


def test_only_a_species_with_the_mark_is_sexed_by_it() -> None:
    veiled = read_profile(SHIPPED.read_text(encoding="utf-8"), name="veiled")
    assert veiled.sexing is not None
    check_markable(veiled, label="V-1")

    # Rovatsos and others 2015: the panther chameleon's sex is genetic; common
    # practice, no source: its hatchlings carry no heel spur.
    without = replace(
        veiled,
        common_name="Panther chameleon",
        sexing=replace(veiled.sexing, mark=SexMark.NONE),
    )
    for profile, said in (
        (without, "Panther chameleon has no such mark"),
        (replace(veiled, sexing=None), "says nothing about it"),
        (None, "says nothing about it"),
    ):
        with pytest.raises(SexingError) as refused:
            check_markable(profile, label="V-1")
        assert said in refused.value.sentence
