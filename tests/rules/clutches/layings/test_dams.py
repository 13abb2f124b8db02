"""Whom a clutch can be of, and when (conventions; the age is the profile's)."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from clutches.rules.facts import Laying
from clutches.rules.layings.counts import ClutchError
from clutches.rules.layings.dams import (
    Dam,
    Paired,
    check_dam,
    check_day,
    check_pairing,
    remarks_on_dam,
)
from husbandry.rules.parents import Relative
from husbandry.rules.vocabulary import DatePrecision, Sex
from tests.rules.clutches.layings.made import veiled

ON = date(2026, 3, 2)
DAY = timedelta(days=1)
JUNO = Relative(
    id=1,
    label="V-0001 Juno",
    species=1,
    sex=Sex.FEMALE,
    hatched_on=date(2024, 9, 1),
    hatched_precision=DatePrecision.DAY,
)
PAIR = Paired("V-0001 Juno × V-0007 Bas", 1, (ON - 5 * DAY,))


def dam(left_on: date | None = None, **changes: object) -> Dam:
    return Dam(replace(JUNO, **changes), left_on)  # type: ignore[arg-type] # fields


@pytest.mark.parametrize(
    ("one", "species", "words"),
    [
        (dam(sex=Sex.MALE), 1, "male"),
        (dam(), 2, "another species"),
        (dam(hatched_on=ON), 1, "hatched on 02 Mar 2026"),
        (dam(hatched_on=ON + DAY), 1, "hatched on 03 Mar 2026"),
        (
            dam(hatched_on=date(2027, 5, 1), hatched_precision=DatePrecision.YEAR),
            1,
            "hatched on 01 Jan 2027",
        ),
        (dam(left_on=ON - DAY), 1, "left on 01 Mar 2026"),
    ],
)
def test_a_dam_that_cannot_have_laid_is_refused(
    one: Dam, species: int, words: str
) -> None:
    with pytest.raises(ClutchError, match=words) as refusal:
        check_dam(one, species=species, on=ON)

    assert refusal.value.fields


@pytest.mark.parametrize(
    "one",
    [
        dam(),
        dam(sex=Sex.UNKNOWN),
        dam(left_on=ON),
        dam(hatched_on=ON - DAY),
        dam(hatched_on=None, hatched_precision=DatePrecision.UNKNOWN),
        # In the same year she may have hatched early enough.
        dam(hatched_on=date(2026, 12, 1), hatched_precision=DatePrecision.YEAR),
    ],
)
def test_a_dam_that_can_have_laid(one: Dam) -> None:
    check_dam(one, species=1, on=ON)


def test_a_laying_to_come_is_refused() -> None:
    check_day(ON, today=ON)

    with pytest.raises(ClutchError, match="has not come yet"):
        check_day(ON + DAY, today=ON)


@pytest.mark.parametrize(
    ("pairing", "of", "words"),
    [
        (PAIR, 2, "another female"),
        (PAIR, None, "another female"),
        (replace(PAIR, met_on=()), 1, "no introduction"),
        (replace(PAIR, met_on=(ON + DAY,)), 1, "no introduction"),
    ],
)
def test_a_pairing_that_cannot_be_behind_it_is_refused(
    pairing: Paired, of: int | None, words: str
) -> None:
    with pytest.raises(ClutchError, match=words):
        check_pairing(pairing, dam=of, on=ON)


def test_a_pair_that_met_by_then_can_be_behind_it() -> None:
    check_pairing(PAIR, dam=1, on=ON)
    check_pairing(replace(PAIR, met_on=(ON, ON + DAY)), dam=1, on=ON)


@pytest.mark.parametrize(
    ("days", "remarked"),
    [(0, True), (10, True), (-10, True), (11, False), (-11, False)],
)
def test_a_second_clutch_within_ten_days_is_asked_about(
    days: int, remarked: bool
) -> None:
    other = Laying(5, "C-05", ON + days * DAY, 40)

    found = remarks_on_dam(replace(dam(), layings=(other,)), veiled(), on=ON)

    assert [text.startswith("V-0001 Juno laid C-05") for text in found] == (
        [True] if remarked else []
    )


@pytest.mark.parametrize(
    ("age_days", "precision", "remarked"),
    [
        # 270 days by the shipped profile: this project's convention.
        (269, DatePrecision.DAY, True),
        (270, DatePrecision.DAY, False),
        (100, DatePrecision.MONTH, False),
    ],
)
def test_a_very_young_dam_is_asked_about(
    age_days: int, precision: DatePrecision, remarked: bool
) -> None:
    one = dam(hatched_on=ON - age_days * DAY, hatched_precision=precision)

    assert bool(remarks_on_dam(one, veiled(), on=ON)) is remarked
    assert remarks_on_dam(one, None, on=ON) == ()
