"""Which young animals of a night are behind in growth."""

from collections.abc import Sequence

from husbandry.rules.findings import Seen, key_of
from husbandry.rules.growth.assessing import GrowingAnimal, assess_growth
from husbandry.rules.night import evidence
from husbandry.rules.night.facts import MateFacts, NightFacts
from husbandry.rules.night.fencing import fenced
from husbandry.rules.night.planning import AnimalPlan
from husbandry.rules.profiles.care_rows import reference_for
from husbandry.rules.profiles.resolving import weighing_for


def judge_growth(
    facts: NightFacts, plans: Sequence[AnimalPlan]
) -> tuple[list[Seen], list[tuple[int, str]]]:
    """Compare young animals with a reference, or with their mates wherever these are.

    Args:
        facts: what is known of the night.
        plans: its animals; those without a care profile are passed over.

    Returns:
        Sightings, and the keys of animals that could not be judged, with the error.
    """
    by_id = {plan.animal.id: plan for plan in plans}
    mates = [_compared_with(mate) for mate in facts.mates]
    found, failures = fenced(
        [*(_growing(plan) for plan in plans if plan.profile is not None), *mates],
        lambda animals: assess_growth(animals, on=facts.day.on, zone=facts.zone),
    )
    seen = []
    for one in found:
        plan = by_id[one.animal or 0]
        where = evidence.home(plan.animal, facts)
        version = plan.profile.version if plan.profile else None
        basis = evidence.row_basis(one.provenance, row=one.rule_id, version=version)
        seen.append(
            Seen(
                key=key_of(one.kind, "animal", plan.animal.id),
                kind=one.kind,
                urgency=one.urgency,
                decided=one.decided,
                animal=plan.animal.id,
                enclosure=where.id if where else None,
                probe=None,
                evidence={
                    **evidence.of_animal(plan.animal, where),
                    **one.facts,
                    "basis": basis,
                },
            )
        )
    return seen, [(animal.id, error) for animal, error in failures]


def _compared_with(mate: MateFacts) -> GrowingAnimal:
    return GrowingAnimal(
        id=mate.id,
        label=mate.label,
        sex=mate.sex,
        hatched_on=mate.hatched_on,
        dam=mate.dam,
        sire=mate.sire,
        weighings=mate.weighings,
        judged=False,
    )


def _growing(plan: AnimalPlan) -> GrowingAnimal:
    assert plan.profile is not None  # noqa: S101 - the caller passes the others over
    animal, profile = plan.animal, plan.profile.profile
    return GrowingAnimal(
        id=animal.id,
        label=animal.label,
        sex=animal.sex,
        hatched_on=animal.hatched_on if animal.hatched_exactly else None,
        dam=animal.dam,
        sire=animal.sire,
        weighings=animal.weighings,
        stage=plan.stage,
        weight_policy=profile.weight_policy,
        growth_policy=profile.growth_policy,
        weighing=weighing_for(profile, plan.stage.code if plan.stage else None),
        reference=reference_for(profile, animal.sex),
    )
