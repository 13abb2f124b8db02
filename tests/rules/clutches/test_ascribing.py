"""Which animals can have come from a clutch."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from clutches.rules.ascribing import (
    Ascribed,
    AscribingError,
    Origins,
    check_ascribed,
)
from clutches.rules.vocabulary import ClutchKind, EggState
from husbandry.rules.vocabulary import DatePrecision

CLUTCH = Origins(
    code="C-1",
    species=1,
    dam=7,
    kind=ClutchKind.EGGS,
    laid_on=date(2026, 1, 10),
    eggs={1: EggState.INCUBATING, 2: EggState.HATCHED, 3: EggState.FAILED},
    taken=frozenset({2}),
    room_left=1,
)
YOUNG = Ascribed(
    label="V-1 Juno",
    species=1,
    dam=None,
    hatched_on=date(2026, 8, 1),
    precision=DatePrecision.DAY,
    egg=1,
    clutch="",
)
LITTER = replace(CLUTCH, kind=ClutchKind.LIVE_YOUNG, eggs={}, taken=frozenset())


@pytest.mark.parametrize("given", [{}, {"egg": None}, {"dam": 7}])
def test_what_fits_is_ascribed(given: dict[str, Any]) -> None:
    check_ascribed(CLUTCH, [replace(YOUNG, **given)])


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"clutch": "C-9"}, "is ascribed to C-9 already"),
        ({"species": 2}, "of another species"),
        ({"dam": 8}, "has another dam on record"),
        ({"hatched_on": None}, "On which day V-1 Juno hatched is not on record"),
        ({"precision": DatePrecision.MONTH}, "is not on record"),
        ({"hatched_on": date(2026, 1, 10)}, "not after C-1 was laid (10 Jan 2026)"),
        ({"egg": 4}, "has no egg 4; its eggs are numbered 1 to 3"),
        ({"egg": 2}, "Another animal is on record for egg 2"),
        ({"egg": 3}, "Egg 3 of C-1 failed"),
    ],
)
def test_what_cannot_be_is_refused(given: dict[str, Any], said: str) -> None:
    with pytest.raises(AscribingError) as refused:
        check_ascribed(CLUTCH, [replace(YOUNG, **given)])

    assert said in refused.value.sentence


def test_everything_wrong_is_told_at_once() -> None:
    with pytest.raises(AscribingError) as refused:
        check_ascribed(CLUTCH, [YOUNG, replace(YOUNG, label="V-2", species=2)])

    assert refused.value.sentence.splitlines() == [
        "V-2 is of another species than C-1.",
        "Egg 1 of C-1 is given for more than one animal; each hatchling has an egg "
        "of its own.",
        "C-1 can have brought forth 1 more, and 2 are given. Count again, or correct "
        "the clutch.",
    ]


def test_live_young_have_no_eggs_and_one_birthday() -> None:
    born = replace(YOUNG, egg=None, hatched_on=date(2026, 1, 10))

    check_ascribed(LITTER, [born])

    for wrong, said in (
        (replace(born, egg=1), "was born alive"),
        (replace(born, hatched_on=date(2026, 1, 11)), "was born on another day"),
    ):
        with pytest.raises(AscribingError) as refused:
            check_ascribed(LITTER, [wrong])
        assert said in refused.value.sentence
