"""What is due among the eggs of a clutch, by the shipped profile of the species."""

from datetime import date, timedelta
from typing import Any

import pytest

from clutches.rules.eggs.due import (
    Due,
    HatchWindow,
    WaitingBox,
    WaitingClutch,
    due_among,
    profile_window,
)
from clutches.rules.vocabulary import EggDue, ForecastBasis
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.values import Profile
from tests.factories import SHIPPED_PROFILE

LAID = date(2026, 1, 1)


def day(number: int) -> date:
    return LAID + timedelta(days=number)


@pytest.fixture(scope="module")
def veiled() -> Profile:
    return read_profile(SHIPPED_PROFILE.read_text("utf-8"), name="veiled")


def box(**given: Any) -> WaitingBox:
    said: dict[str, Any] = {
        "code": "BX-1",
        "incubator": "I-1",
        "eggs": 30,
        "put_on": LAID,
        "checked_on": None,
    }
    return WaitingBox(**(said | given))


def clutch(**given: Any) -> WaitingClutch:
    said: dict[str, Any] = {
        "laid_on": LAID,
        "eggs": 30,
        "pipped": 0,
        "unplaced": 0,
        "uncandled": 0,
        "boxes": (),
        "windows": (),
    }
    return WaitingClutch(**(said | given))


def window(first: int, last: int) -> HatchWindow:
    return HatchWindow(day(first), None, day(last), ForecastBasis.OWN_CLUTCHES, day(99))


# Worked out by hand from the rows of the profile: eggs are candled from day 90 on
# (andrews-donoghue-2004, with a margin), boxes are looked into every 14 days
# (a convention), hatching is awaited from day 180 to day 275 (long-2008).
@pytest.mark.parametrize(
    ("given", "due"),
    [
        ({}, []),
        ({"unplaced": 3}, [Due(EggDue.PLACE_EGGS, LAID, 3)]),
        ({"pipped": 2}, [Due(EggDue.MIND_PIPPED, day(40), 2)]),
        ({"uncandled": 30}, [Due(EggDue.CANDLE_EGGS, day(90), 30)]),
        (
            {"boxes": (box(),)},
            [Due(EggDue.LOOK_INTO_BOX, day(14), 30, box="BX-1")],
        ),
        (
            {"boxes": (box(checked_on=day(35)), box(code="BX-2", eggs=1))},
            [
                Due(EggDue.LOOK_INTO_BOX, day(14), 1, box="BX-2"),
                Due(EggDue.LOOK_INTO_BOX, day(49), 30, box="BX-1"),
            ],
        ),
        (
            {"windows": (window(190, 220), window(185, 210))},
            [Due(EggDue.EXPECT_HATCHING, day(185), 30, until_on=day(220))],
        ),
        (
            {
                "unplaced": 1,
                "pipped": 1,
                "uncandled": 28,
                "boxes": (box(checked_on=day(35)),),
                "windows": (window(30, 60),),
            },
            [
                Due(EggDue.PLACE_EGGS, LAID, 1),
                Due(EggDue.EXPECT_HATCHING, day(30), 30, until_on=day(60)),
                Due(EggDue.MIND_PIPPED, day(40), 1),
                Due(EggDue.LOOK_INTO_BOX, day(49), 30, box="BX-1"),
                Due(EggDue.CANDLE_EGGS, day(90), 28),
            ],
        ),
    ],
)
def test_what_is_due_comes_in_order(
    given: dict[str, Any], due: list[Due], veiled: Profile
) -> None:
    assert list(due_among(clutch(**given), veiled, today=day(40))) == due


def test_without_a_profile_only_what_is_seen_is_due() -> None:
    waiting = clutch(uncandled=30, boxes=(box(),), pipped=1)

    assert due_among(waiting, None, today=day(40)) == (
        Due(EggDue.MIND_PIPPED, day(40), 1),
    )


def test_the_profiles_window_is_that_of_its_row(veiled: Profile) -> None:
    assert profile_window(veiled, laid_on=LAID) == HatchWindow(
        day(180), None, day(275), ForecastBasis.PROFILE_WINDOW, None
    )
    assert profile_window(None, laid_on=LAID) is None


# Stahl, review: laid in September 1990, hatched in March 1991.
def test_the_first_clutch_on_record_lies_within_the_window(veiled: Profile) -> None:
    found = profile_window(veiled, laid_on=date(1990, 9, 15))

    assert found is not None
    assert found.earliest_on <= date(1991, 3, 31) <= found.latest_on
