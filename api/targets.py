"""What one animal needs on a day, with the source of every value."""

from datetime import date
from typing import Annotated

from msgspec import Meta

from api.structs import Out, Ref, ref
from husbandry.models import Animal, TargetOverride
from husbandry.queries.animals import reproduction_on
from husbandry.queries.profiles import profile_in_force
from husbandry.queries.review import override_value
from husbandry.rules.profiles.resolving import (
    Override,
    ResolvedTarget,
    resolve_targets,
    stage_on,
)
from husbandry.rules.profiles.values import Profile, Source
from husbandry.rules.vocabulary import Reproduction, Sex


class TargetsOut(Out, frozen=True):
    """What an animal needs on a day, and what that was chosen by."""

    animal: Ref | None
    on: date
    profile: Annotated[
        Ref | None,
        Meta(description="Care profile in force; null: none, so nothing is wanted."),
    ]
    stage: Annotated[
        str | None, Meta(description="Life stage; null where its age is not known.")
    ]
    sex: Sex
    reproduction: Reproduction
    targets: Annotated[
        tuple[ResolvedTarget, ...],
        Meta(description="°C, % and UV index, as `quantity` says."),
    ]
    sources: Annotated[
        tuple[Source, ...], Meta(description="The sources that the targets name.")
    ]


def targets_on(*, animal: Animal, on: date) -> TargetsOut:
    """Return what an animal needs on a day.

    Args:
        animal: with its species.
        on: the local day.
    """
    found = profile_in_force(species_id=animal.species_id, on=on)
    profile = found.profile if found else None
    stage = stage_on(profile, hatched_on=animal.hatched_on, on=on) if profile else None
    reproduction = reproduction_on(animal=animal, on=on)
    targets: tuple[ResolvedTarget, ...] = ()
    if profile is not None:
        targets = resolve_targets(
            profile,
            stage=stage.code if stage else None,
            sex=Sex(animal.sex),
            reproduction=reproduction,
            overrides=_overrides(animal, on),
            on=on,
        )
    version = f"{animal.species.code} v{found.version}" if found else ""
    return TargetsOut(
        animal=ref(animal),
        on=on,
        profile=Ref(id=found.id, code=version) if found else None,
        stage=stage.code if stage else None,
        sex=Sex(animal.sex),
        reproduction=reproduction,
        targets=targets,
        sources=_sources(profile, targets) if profile else (),
    )


def _overrides(animal: Animal, on: date) -> tuple[Override, ...]:
    rows = TargetOverride.objects.filter(
        animal=animal, withdrawn_at__isnull=True, from_on__lte=on, until_on__gte=on
    ).select_related("made_by")
    return tuple(override_value(row) for row in rows.order_by("made_at", "pk"))


def _sources(
    profile: Profile, targets: tuple[ResolvedTarget, ...]
) -> tuple[Source, ...]:
    named = set()
    for target in targets:
        given = [target.provenance, target.hard_provenance, target.tolerance_provenance]
        given += [other.provenance for other in target.others]
        named |= {provenance.source for provenance in given if provenance}
    return tuple(source for source in profile.sources if source.key in named)
