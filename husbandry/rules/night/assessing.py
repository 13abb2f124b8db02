"""One night assessed: every animal, every probe, nothing passed over in silence."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain

from husbandry.rules.conditions import NightConditions
from husbandry.rules.findings import Seen
from husbandry.rules.night.animals import (
    judge_housing,
    judge_unknowns,
    judge_weights,
    not_reviewed,
)
from husbandry.rules.night.climate import judge_conditions
from husbandry.rules.night.facts import NightFacts
from husbandry.rules.night.planning import AnimalPlan, Plan
from husbandry.rules.night.probes import judge_probes, unmeasured


@dataclass(frozen=True, slots=True)
class Assessment:
    """What a night's review says.

    Attributes:
        seen: sightings, undecided ones included, each key once.
        failures: (animal's code, error) of animals whose own rules raised.
        animals: how many animals were looked at.
        coverage: seconds covered by seconds expected, 0 to 1; None without probes.
    """

    seen: tuple[Seen, ...]
    failures: tuple[tuple[str, str], ...]
    animals: int
    coverage: float | None


def assess_night(
    facts: NightFacts, plan: Plan, conditions: NightConditions
) -> Assessment:
    """Say what was wrong at a site on one local day.

    Args:
        facts: what is known of the night.
        plan: the animals' targets, laid over the probes.
        conditions: what the readings add up to.

    Returns:
        Sightings and counts. An animal whose own data make a rule raise does not
        stop the others: it is reported as not reviewed.

    Source:
        review-conventions (ADR 0007).
    """
    own, failures = _animal_by_animal(facts, plan)
    seen = chain(
        judge_conditions(facts, plan, conditions),
        judge_probes(facts, conditions),
        unmeasured(facts, plan.animals),
        judge_housing(facts, plan.animals),
        own,
    )
    return Assessment(
        seen=tuple(seen),
        failures=tuple(failures),
        animals=len(plan.animals),
        coverage=_coverage(conditions),
    )


def _animal_by_animal(
    facts: NightFacts, plan: Plan
) -> tuple[list[Seen], list[tuple[str, str]]]:
    seen: list[Seen] = []
    failures: list[tuple[str, str]] = []
    for animal in plan.animals:
        try:
            seen.extend(_own(facts, animal))
        except Exception as error:  # noqa: BLE001 - one sick record must not stop the night
            seen.append(not_reviewed(facts, animal, repr(error)))
            failures.append((animal.animal.code, repr(error)))
    return seen, failures


def _own(facts: NightFacts, plan: AnimalPlan) -> Iterator[Seen]:
    yield from judge_unknowns(facts, plan)
    yield from judge_weights(facts, plan)


def _coverage(conditions: NightConditions) -> float | None:
    first = conditions.band == 0
    expected_s = int(conditions.expected_s[first].sum())
    if not expected_s:
        return None
    return int(conditions.covered_s[first].sum()) / expected_s
