"""Putting a pair together: what cannot have been, and what to mind (common practice)."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from clutches.rules.layings.windows import expected_laying
from clutches.rules.pairings.introductions import (
    CAUTION,
    IntroductionError,
    PairDays,
    check_introduction,
    remarks_on_introduction,
)
from clutches.rules.vocabulary import IntroductionOutcome
from tests.rules.clutches.layings.made import MATED_ON, bearing, female, mating, veiled

ON = MATED_ON
DAY = timedelta(days=1)
PAIR = PairDays("Juno × Bas", ON - 3 * DAY, None)
Was = IntroductionOutcome


@pytest.mark.parametrize(
    ("pair", "on", "minutes", "field"),
    [
        (PAIR, ON - 4 * DAY, None, "at"),
        (replace(PAIR, ended_on=ON), ON, None, "at"),
        (replace(PAIR, ended_on=ON), ON + DAY, None, "at"),
        (PAIR, ON, 0, "minutes"),
        (PAIR, ON, 43_201, "minutes"),
    ],
)
def test_what_cannot_have_been_is_refused(
    pair: PairDays, on: date, minutes: int | None, field: str
) -> None:
    with pytest.raises(IntroductionError) as refusal:
        check_introduction(pair, on=on, minutes=minutes)

    assert list(refusal.value.fields) == [field]


@pytest.mark.parametrize(
    ("pair", "on", "minutes"),
    [
        (PAIR, ON - 3 * DAY, 1),
        (PAIR, ON, 43_200),
        (replace(PAIR, ended_on=ON + DAY), ON, None),
    ],
)
def test_at_the_bounds_it_can_have_been(
    pair: PairDays, on: date, minutes: int | None
) -> None:
    check_introduction(pair, on=on, minutes=minutes)


@pytest.mark.parametrize(
    ("outcome", "told"),
    [
        (Was.MATED, True),
        (Was.NOT_WATCHED, True),
        (Was.IGNORED, False),
        (Was.REFUSED, False),
        (Was.FOUGHT, False),
    ],
)
def test_who_may_have_mated_is_told_when_she_may_lay(
    outcome: IntroductionOutcome, told: bool
) -> None:
    expected = expected_laying(female(mating()), veiled(), on=ON)

    found = remarks_on_introduction(
        outcome, dam="Juno", gravid_on=None, expected=expected
    )

    window = (
        "Juno may lay between 21 Mar 2026 and 05 Apr 2026. Give her a bin to dig and "
        "lay in from now on, and look at her every day once she shows."
    )
    assert (window in found) is told


def test_a_live_bearer_is_told_without_a_bin() -> None:
    expected = expected_laying(female(mating()), bearing(), on=ON)

    assert remarks_on_introduction(
        Was.MATED, dam="Juno", gravid_on=None, expected=expected
    ) == ("Juno may bear between 29 Jul 2026 and 31 Aug 2026.",)


def test_a_fight_and_a_gravid_female_have_their_words() -> None:
    fight, gravid = remarks_on_introduction(
        Was.FOUGHT, dam="Juno", gravid_on=ON, expected=None
    )[::-1]

    assert "licensed reptile vet" in fight
    assert gravid.startswith("Juno is on record as gravid since 01 Mar 2026")


def test_the_caution_says_to_watch_and_to_separate() -> None:
    assert "Watch every introduction" in CAUTION
    assert "separate them at once" in CAUTION
