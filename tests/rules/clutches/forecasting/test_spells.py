"""In which incubator most eggs of a group were, from laying on."""

from collections import Counter

import pytest

from clutches.rules.facts import BoxSpell
from clutches.rules.forecasting.spells import (
    Leg,
    Way,
    majority_spells,
    through_boxes,
)


@pytest.mark.parametrize(
    ("boxes", "stays", "way"),
    [
        ([], {}, ()),
        ([Leg(10, None, 1)], {}, ()),
        ([Leg(10, None, 1)], {1: [Leg(0, None, 7)]}, (Leg(10, None, 7),)),
        ([Leg(10, 50, 1)], {1: [Leg(20, None, 7)]}, (Leg(20, 50, 7),)),
        ([Leg(10, 50, 1)], {1: [Leg(20, 40, 7)]}, (Leg(20, 40, 7),)),
        # The box is moved to another incubator, with a break.
        (
            [Leg(10, None, 1)],
            {1: [Leg(0, 30, 7), Leg(40, None, 8)]},
            (Leg(10, 30, 7), Leg(40, None, 8)),
        ),
        # The egg is moved to another box.
        (
            [Leg(30, None, 2), Leg(10, 30, 1)],
            {1: [Leg(0, None, 7)], 2: [Leg(0, None, 8)]},
            (Leg(10, 30, 7), Leg(30, None, 8)),
        ),
        # The box came after the egg had left it.
        ([Leg(10, 20, 1)], {1: [Leg(20, None, 7)]}, ()),
    ],
)
def test_way_of_one_egg(
    boxes: list[Leg], stays: dict[int, list[Leg]], way: Way
) -> None:
    assert through_boxes(boxes, stays) == way


@pytest.mark.parametrize(
    ("ways", "spells"),
    [
        ({}, (BoxSpell(None, 0, None),)),
        ({(): 5}, (BoxSpell(None, 0, None),)),
        (
            {(Leg(10, None, 7),): 5},
            (BoxSpell(None, 0, 10), BoxSpell(7, 10, None)),
        ),
        # Three of five were moved on.
        (
            {(Leg(0, None, 7),): 2, (Leg(0, 40, 7), Leg(40, None, 8)): 3},
            (BoxSpell(7, 0, 40), BoxSpell(8, 40, None)),
        ),
        # One of three was moved on: most stayed.
        (
            {(Leg(0, None, 7),): 2, (Leg(0, 40, 7), Leg(40, None, 8)): 1},
            (BoxSpell(7, 0, None),),
        ),
        # As many here as there: the lower key; one goes before none.
        ({(Leg(0, None, 8),): 2, (Leg(0, None, 7),): 2}, (BoxSpell(7, 0, None),)),
        ({(): 2, (Leg(0, None, 7),): 2}, (BoxSpell(7, 0, None),)),
        ({(): 3, (Leg(0, None, 7),): 2}, (BoxSpell(None, 0, None),)),
        # What lies before laying or after the end does not count.
        ({(Leg(-50, 200, 7),): 1}, (BoxSpell(7, 0, None),)),
        ({(Leg(0, 60, 7),): 1}, (BoxSpell(7, 0, 60), BoxSpell(None, 60, None))),
    ],
)
def test_most_of_the_eggs(ways: dict[Way, int], spells: tuple[BoxSpell, ...]) -> None:
    assert majority_spells(ways, from_s=0, until_s=100) == spells


def test_nothing_before_laying() -> None:
    way = Counter({(Leg(0, None, 7),): 1})

    assert majority_spells(way, from_s=100, until_s=100) == ()
