"""What the night would say of one animal's weighings, as its site wants to hear it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from zoneinfo import ZoneInfo

from husbandry.rules.assessments import Assessment
from husbandry.rules.growth.assessing import GrowingAnimal, assess_growth
from husbandry.rules.growth.recorded import GrowthRecord, Recorded
from husbandry.rules.policies import Policy
from husbandry.rules.profiles.care_rows import reference_for
from husbandry.rules.profiles.resolving import stage_on, weighing_for, weight_band_for
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import FindingKind
from husbandry.rules.weights import assess_weights

KINDS = (
    FindingKind.WEIGHT_LOSS,
    FindingKind.GROWTH_STALLED,
    FindingKind.WEIGHT_OUT_OF_BAND,
    FindingKind.WEIGHING_OVERDUE,
    FindingKind.GROWTH_BEHIND,
)


def assessments_of(
    record: GrowthRecord,
    mates: Sequence[Recorded],
    *,
    profile: Profile,
    policies: Mapping[FindingKind, Policy],
    on: date,
    zone: ZoneInfo,
) -> tuple[Assessment, ...]:
    """Say what is wrong with one animal's weighings at the end of a local day.

    The night looks at the animals of its site; here all mates that are given are
    compared with, wherever they are, so an animal may be behind that has too few
    mates where it lives.

    Args:
        record: of the animal; of one that is not in care nothing is said.
        mates: its clutch-mates.
        profile: with the limits that its site has set.
        policies: what its site decided; a kind that is switched off is left out.
        on: the local day.
        zone: whose local days count.
    """
    if not record.animal.in_care:
        return ()
    return tuple(
        _decided(found, policies.get(found.kind))
        for found in (
            *_by_weights(record, profile, on, zone),
            *_by_growth(record.animal, mates, profile, on, zone),
        )
        if found.kind not in switched_off(policies)
    )


def switched_off(policies: Mapping[FindingKind, Policy]) -> tuple[FindingKind, ...]:
    """Return what a site does not want to hear of an animal's weighings."""
    return tuple(k for k in KINDS if k in policies and not policies[k].switched_on)


def _decided(found: Assessment, policy: Policy | None) -> Assessment:
    if policy is None:
        return found
    return replace(found, urgency=policy.urgency_of(found.urgency))


def _by_weights(
    record: GrowthRecord, profile: Profile, on: date, zone: ZoneInfo
) -> Iterator[Assessment]:
    animal = record.animal
    stage = stage_on(profile, hatched_on=animal.hatched_about, on=on)
    code = stage.code if stage else None
    for found in assess_weights(
        animal.weighings,
        on=on,
        zone=zone,
        policy=profile.weight_policy,
        band=weight_band_for(profile, code, animal.sex),
        weighing=weighing_for(profile, code),
        stage=stage,
        arrived_on=animal.arrived_on,
        reproduction=record.gravid,
        sheds=record.shed_on,
    ):
        yield Assessment(
            kind=found.kind,
            urgency=found.urgency,
            facts=found.facts,
            rule_id=found.rule_id,
            provenance=found.provenance,
            animal=animal.id,
        )


def _by_growth(
    animal: Recorded,
    mates: Sequence[Recorded],
    profile: Profile,
    on: date,
    zone: ZoneInfo,
) -> tuple[Assessment, ...]:
    """Ask as the night does, but of this one animal only."""
    stage = stage_on(profile, hatched_on=animal.hatched_about, on=on)
    asked = replace(
        _growing(animal),
        stage=stage,
        weight_policy=profile.weight_policy,
        growth_policy=profile.growth_policy,
        weighing=weighing_for(profile, stage.code if stage else None),
        reference=reference_for(profile, animal.sex),
        judged=True,
    )
    return assess_growth([asked, *map(_growing, mates)], on=on, zone=zone)


def _growing(animal: Recorded) -> GrowingAnimal:
    return GrowingAnimal(
        id=animal.id,
        label=animal.label,
        sex=animal.sex,
        hatched_on=animal.hatched_on,
        dam=animal.dam,
        sire=animal.sire,
        weighings=animal.weighings,
        judged=False,
    )
