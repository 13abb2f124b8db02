"""What one animal needs on a day, with the source of every value."""

from datetime import date, datetime
from typing import Annotated

from msgspec import Meta

from api.structs import Out, Ref, ref
from husbandry.models import Animal
from husbandry.queries.needs import needs_on
from husbandry.rules.profiles.resolving import ResolvedTarget
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


def targets_on(*, animal: Animal, on: date, at: datetime) -> TargetsOut:
    """Return what an animal needs on a day.

    Args:
        animal: with its species.
        on: the local day.
        at: now; agreements withdrawn by then do not count.
    """
    needs = needs_on(animal=animal, on=on, at=at)
    found = needs.version
    version = f"{animal.species.code} v{found.version}" if found else ""
    return TargetsOut(
        animal=ref(animal),
        on=on,
        profile=Ref(id=found.id, code=version) if found else None,
        stage=needs.stage.code if needs.stage else None,
        sex=Sex(animal.sex),
        reproduction=needs.reproduction,
        targets=needs.targets,
        sources=_sources(found.profile, needs.targets) if found else (),
    )


def _sources(
    profile: Profile, targets: tuple[ResolvedTarget, ...]
) -> tuple[Source, ...]:
    named = set()
    for target in targets:
        given = [target.provenance, target.hard_provenance, target.tolerance_provenance]
        given += [other.provenance for other in target.others]
        named |= {provenance.source for provenance in given if provenance}
    return tuple(source for source in profile.sources if source.key in named)
