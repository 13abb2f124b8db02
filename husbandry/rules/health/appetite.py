"""Whether an animal takes its food, as far as somebody watched."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from husbandry.rules.assessments import Assessment
from husbandry.rules.care.facts import CaredAnimal
from husbandry.rules.health.conventions import CARE_TASKS
from husbandry.rules.vocabulary import FindingKind, Sex, Urgency
from husbandry.rules.weights import GravidSpell

MEALS_IN_A_ROW = 2


@dataclass(frozen=True, slots=True)
class Meal:
    """All that was offered on one local day, as far as somebody watched."""

    on: date
    offered: int
    eaten: int

    @property
    def refused(self) -> bool:
        """Say whether nothing of it was eaten."""
        return self.eaten == 0


def watched_meals(animal: CaredAnimal, *, on: date) -> tuple[Meal, ...]:
    """Return the watched feedings until a local day, a meal a day, oldest first.

    Feedings that nobody watched and food given by hand say nothing of appetite.
    """
    found: dict[date, tuple[int, int]] = {}
    for feeding in animal.feedings:
        if feeding.eaten is None or feeding.assisted or feeding.on > on:
            continue
        offered, eaten = found.get(feeding.on, (0, 0))
        found[feeding.on] = offered + feeding.offered, eaten + feeding.eaten
    return tuple(Meal(day, *found[day]) for day in sorted(found))


def refused_meals(animal: CaredAnimal, *, on: date) -> tuple[Meal, ...]:
    """Return the watched meals refused since it last ate, oldest first."""
    refused: list[Meal] = []
    for meal in reversed(watched_meals(animal, on=on)):
        if not meal.refused:
            break
        refused.append(meal)
    return tuple(reversed(refused))


def gravid_spell(animal: CaredAnimal, *, on: date) -> GravidSpell | None:
    """Return the spell in which a female carries eggs on a day; its last day counts."""
    for spell in animal.gravid:
        if spell.from_on <= on and (spell.until_on is None or on <= spell.until_on):
            return spell
    return None


def assess_appetite(animal: CaredAnimal, *, on: date) -> Iterator[Assessment]:
    """Say whether two watched meals in a row were refused.

    A female that carries eggs may fast: hers is judged with her laying. A spell that
    is still on record of one found to be male keeps nothing back.

    Args:
        animal: with its sex, feedings and gravid spells.
        on: the local day.

    Source:
        care-task-convention: two meals, a meal a day.
    """
    refused = refused_meals(animal, on=on)
    carries = animal.sex is not Sex.MALE and gravid_spell(animal, on=on) is not None
    if len(refused) < MEALS_IN_A_ROW or carries:
        return
    yield Assessment(
        FindingKind.FOOD_REFUSED,
        Urgency.TODAY,
        {
            "meals": len(refused),
            "since_on": refused[0].on.isoformat(),
            "last_on": refused[-1].on.isoformat(),
            "offered": sum(meal.offered for meal in refused),
            "ate_on": _last_eaten(animal, on=on),
        },
        provenance=CARE_TASKS,
        animal=animal.id,
    )


def _last_eaten(animal: CaredAnimal, *, on: date) -> str | None:
    eaten = [m.on for m in watched_meals(animal, on=on) if not m.refused]
    return eaten[-1].isoformat() if eaten else None
