"""One night assessed: every animal, every probe, nothing passed over in silence."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain

from husbandry.rules.care.facts import CareFacts
from husbandry.rules.conditions import NightConditions
from husbandry.rules.findings import Seen
from husbandry.rules.night.animals import (
    judge_housing,
    judge_unknowns,
    judge_weights,
    not_reviewed,
)
from husbandry.rules.night.care import judge_care
from husbandry.rules.night.climate import judge_conditions
from husbandry.rules.night.facts import NightFacts
from husbandry.rules.night.fencing import fenced
from husbandry.rules.night.growth import judge_growth
from husbandry.rules.night.planning import AnimalPlan, Plan
from husbandry.rules.night.probes import judge_probes, unmeasured
from husbandry.rules.policies import decided

# Sightings, and the animals (by key) whose own records made a rule raise.
Judged = tuple[list[Seen], list[tuple[int, str]]]


@dataclass(frozen=True, slots=True)
class Assessment:
    """What a night's review says.

    Attributes:
        seen: sightings, undecided ones included, each key once; none of a kind that
            the site has switched off.
        failures: (animal's code, error) of animals whose own rules raised.
        animals: how many animals were looked at.
        coverage: seconds covered by seconds expected, 0 to 1; None without probes.
    """

    seen: tuple[Seen, ...]
    failures: tuple[tuple[str, str], ...]
    animals: int
    coverage: float | None


def assess_night(
    facts: NightFacts, plan: Plan, conditions: NightConditions, care: CareFacts
) -> Assessment:
    """Say what was wrong at a site on one local day.

    Args:
        facts: what is known of the night.
        plan: the animals' targets, laid over the probes.
        conditions: what the readings add up to.
        care: what is on record of daily care and health.

    Returns:
        Sightings and counts. An animal whose own data make a rule raise does not
        stop the others: it is reported as not reviewed.

    Source:
        review-conventions (ADR 0007).
    """
    by_id = {animal.animal.id: animal for animal in plan.animals}
    judged = (
        _animal_by_animal(facts, plan),
        _housing(facts, plan),
        judge_growth(facts, plan.animals),
        judge_care(facts, care),
    )
    errors: dict[int, str] = {}
    for animal, error in chain.from_iterable(failures for _, failures in judged):
        if animal in by_id:
            errors.setdefault(animal, error)
    seen = chain(
        judge_conditions(facts, plan, conditions),
        judge_probes(facts, conditions),
        unmeasured(facts, plan.animals),
        (not_reviewed(facts, by_id[animal], e) for animal, e in errors.items()),
        *(found for found, _ in judged),
    )
    return Assessment(
        seen=tuple(decided(seen, facts.policies)),
        failures=tuple((by_id[a].animal.code, error) for a, error in errors.items()),
        animals=len(plan.animals),
        coverage=_coverage(conditions),
    )


def _animal_by_animal(facts: NightFacts, plan: Plan) -> Judged:
    seen: list[Seen] = []
    failures: list[tuple[int, str]] = []
    for animal in plan.animals:
        try:
            seen.extend(_own(facts, animal))
        except Exception as error:  # noqa: BLE001 - one sick record must not stop the night
            failures.append((animal.animal.id, repr(error)))
    return seen, failures


def _housing(facts: NightFacts, plan: Plan) -> Judged:
    seen, failures = fenced(
        plan.animals, lambda animals: judge_housing(facts, tuple(animals))
    )
    return seen, [(animal.animal.id, error) for animal, error in failures]


def _own(facts: NightFacts, plan: AnimalPlan) -> Iterator[Seen]:
    yield from judge_unknowns(facts, plan)
    yield from judge_weights(facts, plan)


def _coverage(conditions: NightConditions) -> float | None:
    first = conditions.band == 0
    expected_s = int(conditions.expected_s[first].sum())
    if not expected_s:
        return None
    return int(conditions.covered_s[first].sum()) / expected_s
