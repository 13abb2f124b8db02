"""Refused food: two watched meals in a row, a meal a local day."""

from typing import Any

import pytest

from husbandry.rules.health.appetite import assess_appetite
from husbandry.rules.vocabulary import FindingKind, Sex, Urgency
from husbandry.rules.weights import GravidSpell
from tests.rules.health.facts import TODAY, animal, date, fed

FEBRUARY = date(2026, 2, 20)


@pytest.mark.parametrize(
    ("feedings", "meals"),
    [
        ((), None),
        ((fed(1, 0),), None),
        ((fed(1, 0), fed(2, 0)), 2),
        ((fed(2, 0), fed(1, 0)), 2),
        ((fed(0, 0), fed(1, 0), fed(2, 0)), 3),
        # It ate in between, or at last.
        ((fed(0, 0), fed(1, 1), fed(2, 0)), None),
        ((fed(0, 0), fed(1, 0), fed(2, 4)), None),
        # Nobody watched in between: that says neither.
        ((fed(0, 0), fed(1, None), fed(2, 0)), 2),
        # Food given by hand says nothing of appetite.
        ((fed(0, 0), fed(1, 4, assisted=True), fed(2, 0)), 2),
        ((fed(1, 0, assisted=True), fed(2, 0, assisted=True)), None),
        # Two kinds of food on one day are one meal; one of them eaten, it ate.
        ((fed(2, 0), fed(2, 0, id=9, feeder="feeder-roaches")), None),
        ((fed(1, 0), fed(2, 0), fed(2, 1, id=9, feeder="feeder-roaches")), None),
        # What comes after the day is not known yet.
        ((fed(2, 0), fed(3, 0)), None),
    ],
)
def test_two_refused_meals_in_a_row_are_told(
    feedings: tuple[Any, ...], meals: int | None
) -> None:
    found = [*assess_appetite(animal(feedings=feedings), on=TODAY)]

    assert [a.facts["meals"] for a in found] == ([] if meals is None else [meals])


def test_refused_food_says_since_when_and_when_it_ate() -> None:
    (found,) = assess_appetite(
        animal(feedings=(fed(0, 3), fed(1, 0), fed(2, 0))), on=TODAY
    )

    assert (found.kind, found.urgency) == (FindingKind.FOOD_REFUSED, Urgency.TODAY)
    assert found.facts == {
        "meals": 2,
        "since_on": "2026-03-01",
        "last_on": "2026-03-02",
        "offered": 8,
        "ate_on": "2026-02-28",
    }
    assert (found.animal, found.detail, found.rule_id) == (1, (), "")
    assert found.provenance is not None
    assert found.provenance.source == "care-task-convention"


@pytest.mark.parametrize(
    ("spell", "told"),
    [
        (GravidSpell(FEBRUARY, None), False),
        (GravidSpell(TODAY, None), False),
        (GravidSpell(FEBRUARY, TODAY), False),
        (GravidSpell(FEBRUARY, date(2026, 3, 1)), True),
        (GravidSpell(date(2026, 3, 3), None), True),
    ],
)
def test_female_that_carries_eggs_may_fast(spell: GravidSpell, told: bool) -> None:
    fasting = animal(feedings=(fed(1, 0), fed(2, 0)), gravid=(spell,))

    assert bool([*assess_appetite(fasting, on=TODAY)]) is told


def test_male_with_a_spell_on_record_is_judged_by_his_meals() -> None:
    """Sexed anew, the spell stays open; nothing else would tell that it fasts."""
    spell = GravidSpell(FEBRUARY, None)
    fasting = animal(sex=Sex.MALE, feedings=(fed(1, 0), fed(2, 0)), gravid=(spell,))

    assert len([*assess_appetite(fasting, on=TODAY)]) == 1
