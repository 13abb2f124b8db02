"""What is wrong with each animal beside its climate: weight, housing, what is unknown."""

from collections.abc import Iterator, Mapping
from typing import Any

from husbandry.rules.findings import Seen, key_of
from husbandry.rules.housing import (
    EnclosureState,
    HousedAnimal,
    assess_housing,
)
from husbandry.rules.night import evidence
from husbandry.rules.night.facts import EnclosureFacts, NightFacts
from husbandry.rules.night.planning import AnimalPlan
from husbandry.rules.profiles.resolving import (
    company_for,
    housing_for,
    laying_for,
    light_hours_for,
    weighing_for,
    weight_band_for,
)
from husbandry.rules.profiles.values import Provenance
from husbandry.rules.vocabulary import FindingKind, Urgency
from husbandry.rules.weights import assess_weights

HOUR_S = 3600


def judge_weights(facts: NightFacts, plan: AnimalPlan) -> Iterator[Seen]:
    """Say what an animal's weighings show, by its profile's rules.

    Yields:
        One sighting a kind; nothing for an animal without a care profile.
    """
    if plan.profile is None:
        return
    profile, animal = plan.profile.profile, plan.animal
    stage = plan.stage.code if plan.stage else None
    for found in assess_weights(
        animal.weighings,
        on=facts.day.on,
        zone=facts.zone,
        policy=profile.weight_policy,
        band=weight_band_for(profile, stage, animal.sex),
        weighing=weighing_for(profile, stage),
        stage=plan.stage,
        arrived_on=animal.arrived_on,
        reproduction=animal.gravid,
        sheds=animal.sheds,
    ):
        yield _seen(
            facts,
            plan,
            found.kind,
            found.urgency,
            {**found.facts, "basis": _basis(found.provenance, plan, found.rule_id)},
        )


def judge_unknowns(facts: NightFacts, plan: AnimalPlan) -> Iterator[Seen]:
    """Say what keeps an animal from being judged at all."""
    if plan.profile is None:
        yield _seen(facts, plan, FindingKind.NO_PROFILE, Urgency.TODAY, {})
    elif plan.stage is None:
        yield _seen(facts, plan, FindingKind.STAGE_UNKNOWN, Urgency.WATCH, {})


def judge_housing(facts: NightFacts, plans: tuple[AnimalPlan, ...]) -> Iterator[Seen]:
    """Say what is wrong with where the animals of a site lived, all at once."""
    by_id = {plan.animal.id: plan for plan in plans}
    for found in assess_housing(
        [_housed(facts, plan) for plan in plans],
        enclosures={e.id: _state(e) for e in facts.enclosures.values()},
        sight_lines=facts.sight_lines,
    ):
        plan = by_id[found.animal]
        yield _seen(
            facts,
            plan,
            found.kind,
            found.urgency,
            {**found.facts, "basis": _basis(found.provenance, plan, found.rule_id)},
            decided=found.decided,
        )


def not_reviewed(facts: NightFacts, plan: AnimalPlan, error: str) -> Seen:
    """Say that an animal's own rules stopped with an error."""
    return _seen(facts, plan, FindingKind.NOT_REVIEWED, Urgency.TODAY, {"error": error})


def _housed(facts: NightFacts, plan: AnimalPlan) -> HousedAnimal:
    where = evidence.home(plan.animal, facts)
    profile = plan.profile.profile if plan.profile else None
    stage = plan.stage.code if plan.stage else None
    sex = plan.animal.sex
    return HousedAnimal(
        id=plan.animal.id,
        label=plan.animal.label,
        enclosure=where.id if where else _elsewhere(plan),
        reproduction=plan.animal.reproduction,
        size=housing_for(profile, stage, sex) if profile else None,
        company=company_for(profile, stage) if profile else None,
        laying=laying_for(profile, stage, sex) if profile else None,
        light_hours=light_hours_for(profile, stage) if profile else None,
    )


def _elsewhere(plan: AnimalPlan) -> int | None:
    """Return an enclosure that is not of this site for one that left in the day.

    An animal that stayed here for a part of the day and is at another site now has
    an enclosure; the review of that site judges it.
    """
    return -1 if plan.animal.stays and not plan.animal.homeless else None


def _state(enclosure: EnclosureFacts) -> EnclosureState:
    return EnclosureState(
        id=enclosure.id,
        code=enclosure.code,
        width_cm=enclosure.width_cm,
        depth_cm=enclosure.depth_cm,
        height_cm=enclosure.height_cm,
        laying_bin=enclosure.laying_bin,
        light_h=(enclosure.lights.off_s - enclosure.lights.on_s) / HOUR_S,
    )


def _basis(
    given: Provenance | None, plan: AnimalPlan, row: str
) -> evidence.Json | None:
    version = plan.profile.version if plan.profile else None
    return evidence.row_basis(given, row=row, version=version)


def _seen(
    facts: NightFacts,
    plan: AnimalPlan,
    kind: FindingKind,
    urgency: Urgency,
    found: Mapping[str, Any],
    *,
    decided: bool = True,
) -> Seen:
    where = evidence.home(plan.animal, facts)
    return Seen(
        key=key_of(kind, "animal", plan.animal.id),
        kind=kind,
        urgency=urgency,
        decided=decided,
        animal=plan.animal.id,
        enclosure=where.id if where else None,
        probe=None,
        evidence={**evidence.of_animal(plan.animal, where), **found},
    )
