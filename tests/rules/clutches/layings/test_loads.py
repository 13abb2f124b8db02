"""What layings cost a female, by the shipped profile of the veiled chameleon.

Three clutches a year at most (fact profile of a zoo reviewer, 2014, weak); 120 days of
rest are this project's convention.
"""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clutches.rules.layings.loads import BreedingLoad, breeding_load
from tests.rules.clutches.layings.made import DAY, MATED_ON, laying, veiled

ON = MATED_ON


@pytest.mark.parametrize(
    ("ago", "clutches", "eggs", "full", "rested"),
    [
        ((), 0, 0, False, True),
        ((0,), 1, 40, False, False),
        ((119,), 1, 40, False, False),
        ((120,), 1, 40, False, True),
        ((364,), 1, 40, False, True),
        ((365,), 0, 0, False, True),
        ((300, 200), 2, 80, False, True),
        ((300, 200, 121), 3, 120, True, True),
        ((400, 300, 200, 100), 3, 120, True, False),
        # What is laid after the day is not known on it.
        ((-1,), 0, 0, False, True),
    ],
)
def test_a_year_of_layings(
    ago: tuple[int, ...], clutches: int, eggs: int, full: bool, rested: bool
) -> None:
    found = breeding_load(tuple(laying(-n) for n in ago), veiled(), on=ON)

    assert (found.clutches, found.eggs) == (clutches, eggs)
    assert (found.full, found.rested) == (full, rested)


def test_it_says_from_when_on_she_has_rested() -> None:
    found = breeding_load((laying(-20), laying(-200)), veiled(), on=ON)

    assert found == BreedingLoad(
        clutches=2,
        eggs=80,
        most_clutches=3,
        last_on=date(2026, 2, 9),
        rest_days=20,
        rest_wanted_days=120,
    )
    assert found.rested_on == date(2026, 6, 9)


def test_without_a_profile_nothing_is_wanted() -> None:
    found = breeding_load((laying(-20),), None, on=ON)

    assert (found.rested, found.full, found.rested_on) == (True, False, None)
    silent = replace(veiled(), incubation=())
    assert breeding_load((laying(-20),), silent, on=ON) == found


@given(st.lists(st.integers(-100, 900), max_size=12))
def test_one_more_laying_never_makes_the_load_less(ago: list[int]) -> None:
    before = breeding_load(tuple(laying(-n) for n in ago), veiled(), on=ON)
    after = breeding_load(
        tuple(laying(-n) for n in [*ago, 10]), veiled(), on=ON + 0 * DAY
    )

    assert after.clutches == before.clutches + 1
    assert after.eggs == before.eggs + 40
