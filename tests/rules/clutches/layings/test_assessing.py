"""Females past their window or without a bin (conventions; the bin is common practice)."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from clutches.rules.layings import assess_females
from husbandry.rules.health.laying import NO_BIN
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import FindingKind, Urgency
from tests.rules.clutches.layings.made import (
    DAY,
    LABEL,
    MATED_ON,
    bearing,
    female,
    laying,
    mating,
    night,
    veiled,
)

K, U = FindingKind, Urgency


def found(
    *matings: Any, on: int, profile: Profile | None = None, **changes: Any
) -> list[tuple[FindingKind, Urgency]]:
    one = female(*matings, **changes)
    made = night(one, on=MATED_ON + on * DAY, profile=profile or veiled())
    return [(a.kind, a.urgency) for a in assess_females(made)]


def test_what_is_said_of_a_female_past_her_window() -> None:
    late = night(female(mating()), on=MATED_ON + 36 * DAY, profile=veiled())

    (one,) = assess_females(late)

    assert one.facts == {
        "mated_on": "2026-03-01",
        "days": 36,
        "window_from": "2026-03-21",
        "window_until": "2026-04-05",
        "sire": LABEL,
    }
    assert (one.animal, one.enclosure) == (1, 4)
    assert one.rule_id == "eggs-mating-to-laying"


@pytest.mark.parametrize(
    ("on", "changes", "urgency"),
    [
        # Exactly the last day of the window is inside it.
        (35, {}, None),
        (36, {}, U.TODAY),
        (70, {}, U.TODAY),
        # As long again without a gravid sign: taken not to have conceived.
        (71, {}, None),
        (71, {"gravid_since": MATED_ON + 12 * DAY}, U.TODAY),
        (36, {"layings": (laying(30),)}, None),
        # Laid before the mating: that answers nothing.
        (36, {"layings": (laying(-3),)}, U.TODAY),
    ],
)
def test_past_the_window_it_is_for_today(
    on: int, changes: dict[str, Any], urgency: Urgency | None
) -> None:
    expected = [] if urgency is None else [(K.LAYING_OVERDUE, urgency)]

    assert found(mating(), on=on, **changes) == expected


def test_where_nobody_watched_and_no_sign_was_seen_it_is_watched() -> None:
    unseen = mating(mated=False)

    assert found(unseen, on=36) == [(K.LAYING_OVERDUE, U.WATCH)]
    assert found(unseen, on=36, gravid_since=MATED_ON + 9 * DAY) == [
        (K.LAYING_OVERDUE, U.TODAY)
    ]


def test_one_only_known_to_be_gravid_is_judged_by_husbandry() -> None:
    assert found(on=300, gravid_since=MATED_ON) == []


@pytest.mark.parametrize(
    ("changes", "urgency"),
    [
        ({"laying_bin": True}, None),
        ({"laying_bin": None}, None),
        ({"laying_bin": False, "bin_asked": True}, None),
        ({"laying_bin": False}, U.TODAY),
        ({"laying_bin": False, "gravid_since": MATED_ON}, U.NOW),
        ({"laying_bin": False, "layings": (laying(0),)}, None),
    ],
)
def test_from_the_day_of_mating_on_she_has_a_bin(
    changes: dict[str, Any], urgency: Urgency | None
) -> None:
    expected = [] if urgency is None else [(K.NO_LAYING_BIN, urgency)]

    assert found(mating(), on=0, **changes) == expected
    assert found(mating(), on=-1, **{**changes, "gravid_since": None}) == []


def test_a_missing_bin_reads_as_husbandry_writes_it() -> None:
    one = night(female(mating(), laying_bin=False), on=MATED_ON, profile=veiled())

    (missing,) = assess_females(one)

    assert missing.facts == {"rule": "", "gravid": False}
    assert (missing.provenance, missing.detail) == (NO_BIN, ())


def test_a_live_bearer_is_overdue_after_her_gestation_and_needs_no_bin() -> None:
    no_bin = {"laying_bin": False, "profile": bearing()}

    assert found(mating(), on=183, **no_bin) == []
    assert found(mating(), on=184, **no_bin) == [(K.LAYING_OVERDUE, U.TODAY)]


def test_a_species_without_a_profile_is_not_judged() -> None:
    made = night(female(mating()), on=date(2027, 1, 1), profile=None)

    assert list(assess_females(made)) == []


def test_each_female_is_judged_for_herself() -> None:
    late = female(mating())
    other = replace(late, id=2, matings=(mating(20),))
    made = night(other, late, on=MATED_ON + 40 * DAY, profile=veiled())

    assert [a.animal for a in assess_females(made)] == [1]
