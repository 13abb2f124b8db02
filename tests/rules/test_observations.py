"""Which words go with which observation."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import product

import pytest

from husbandry.rules.observations import (
    WORDS,
    ObservationError,
    Seen,
    check_observation,
)
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import ObservationKind, Observed, Sex, Urates
from tests.factories import SHIPPED_PROFILE

ON = date(2026, 3, 2)
K = ObservationKind
# By hand, as common practice has it (no source): what a keeper can say of each.
GOES_WITH = {
    K.SIGN: "present gone",
    K.SHED: "whole in_patches stuck",
    K.DROPPINGS: "formed loose bloody",
    K.DIGGING: "begun stopped finished",
    K.LAYING: "begun stopped finished",
    K.ALERTNESS: "bright weak",
    K.CONDITION: "lean good heavy",
    K.NOTE: "",
}


@pytest.fixture(scope="module")
def profile() -> Profile:
    return read_profile(SHIPPED_PROFILE.read_text("utf-8"), name="shipped")


def check(seen: Seen, profile: Profile | None, sex: Sex = Sex.FEMALE) -> None:
    check_observation(seen, profile=profile, sex=sex, on=ON)


def test_every_kind_has_its_words_and_every_word_a_kind() -> None:
    assert set(WORDS) == set(ObservationKind)
    assert {word for words in WORDS.values() for word in words} == set(Observed)


@pytest.mark.parametrize(("kind", "word"), list(product(K, Observed)))
def test_a_word_goes_with_the_kinds_of_the_table(
    kind: ObservationKind, word: Observed, profile: Profile
) -> None:
    sign = "sign-dark" if kind is K.SIGN else ""
    seen = Seen(kind, sign=sign, observed=word, note="Seen at noon.")

    if word in GOES_WITH[kind].split():
        check(seen, profile)
    else:
        with pytest.raises(ObservationError, match=f"{word} does not go with"):
            check(seen, profile)


@pytest.mark.parametrize("kind", [k for k in K if k not in {K.SIGN, K.NOTE}])
def test_a_kind_with_words_needs_one(kind: ObservationKind, profile: Profile) -> None:
    said = ", ".join(GOES_WITH[kind].split())

    with pytest.raises(ObservationError, match=f"with {kind} goes one of {said}"):
        check(Seen(kind), profile)


@pytest.mark.parametrize(
    ("seen", "said"),
    [
        (Seen(K.NOTE), "says in words what was seen"),
        (Seen(K.NOTE, note=" "), "says in words what was seen"),
        (Seen(K.SIGN, observed=Observed.PRESENT), "'' is no warning sign"),
        (Seen(K.SIGN, sign="sign-dark"), "with sign goes one of present, gone"),
        (
            Seen(K.SHED, sign="sign-dark", observed=Observed.WHOLE),
            "goes with the kind sign, not with shed",
        ),
        (
            Seen(K.SHED, observed=Observed.WHOLE, urates=Urates.WHITE),
            "among droppings, not with shed",
        ),
        (Seen(K.SHED, urates=Urates.WHITE), "among droppings, not with shed"),
        (Seen(K.DIGGING, observed=Observed.BEGUN, eggs=1), "not with digging"),
        (Seen(K.LAYING, observed=Observed.BEGUN, eggs=-1), "-1 eggs cannot be"),
        (Seen(K.LAYING, observed=Observed.BEGUN, eggs=501), "give 0 to 500"),
        (Seen(K.NOTE, note="x", look_again_on=ON), "give a later day"),
        (
            Seen(K.NOTE, note="x", look_again_on=ON + timedelta(days=367)),
            "at most 366 days later",
        ),
    ],
)
def test_what_does_not_fit_is_refused(seen: Seen, said: str, profile: Profile) -> None:
    with pytest.raises(ObservationError, match=said):
        check(seen, profile)


@pytest.mark.parametrize(
    "seen",
    [
        Seen(K.NOTE, note="Sleeps on the left branch."),
        Seen(K.DROPPINGS, urates=Urates.ORANGE),
        Seen(K.DROPPINGS, observed=Observed.FORMED, urates=Urates.WHITE),
        Seen(K.LAYING, observed=Observed.BEGUN, eggs=0),
        Seen(K.LAYING, observed=Observed.FINISHED, eggs=500),
        Seen(K.NOTE, note="x", look_again_on=ON + timedelta(days=1)),
        Seen(K.NOTE, note="x", look_again_on=ON + timedelta(days=366)),
    ],
)
def test_what_fits_is_accepted(seen: Seen, profile: Profile) -> None:
    check(seen, profile)


def test_without_a_profile_there_are_notes_but_no_signs(profile: Profile) -> None:
    sign = Seen(K.SIGN, sign="sign-dark", observed=Observed.PRESENT)

    for none in (None, replace(profile, warning_signs=())):
        with pytest.raises(ObservationError, match="lists no warning signs"):
            check(sign, none)
    check(Seen(K.NOTE, note="Dark all day."), None)


@pytest.mark.parametrize("sex", Sex)
def test_only_who_may_be_female_lays(sex: Sex, profile: Profile) -> None:
    laying = Seen(K.LAYING, observed=Observed.BEGUN)

    if sex is Sex.MALE:
        with pytest.raises(ObservationError, match="Correct the sex first"):
            check(laying, profile, sex)
    else:
        check(laying, profile, sex)
