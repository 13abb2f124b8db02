"""What is on record of health, judged for one local day: no diagnosis."""

from collections.abc import Iterator
from datetime import date

from husbandry.rules.assessments import Assessment
from husbandry.rules.care.facts import CaredAnimal, CareFacts
from husbandry.rules.health.appetite import assess_appetite
from husbandry.rules.health.laying import assess_laying
from husbandry.rules.health.medicine import assess_medicine
from husbandry.rules.health.signs import assess_signs
from husbandry.rules.health.tests_due import assess_tests
from husbandry.rules.health.worries import assess_worries


def assess_health(facts: CareFacts, *, on: date) -> tuple[Assessment, ...]:
    """Judge the health of every animal of a site at the end of a local day.

    Args:
        facts: what is on record; days after `on` are passed over.
        on: the local day.

    Returns:
        Refused food, signs and what worries by itself, trouble with laying, missed and unsafe doses, tests;
        animal by animal in the order of the facts.

    Source:
        care-task-convention, unless an assessment names another.
    """
    return tuple(
        found
        for animal in facts.animals
        for found in assess_animal_health(animal, facts, on=on)
    )


def assess_animal_health(
    animal: CaredAnimal, facts: CareFacts, *, on: date
) -> Iterator[Assessment]:
    """Judge the health of one animal; see `assess_health`.

    Args:
        animal: one of the facts' own.
        facts: what is on record of its site.
        on: the local day.
    """
    yield from assess_appetite(animal, on=on)
    yield from assess_signs(animal, on=on)
    yield from assess_worries(animal, on=on)
    yield from assess_laying(animal, facts, on=on)
    yield from assess_medicine(animal, facts, on=on)
    yield from assess_tests(animal, on=on)
