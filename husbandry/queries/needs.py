"""What one animal needs on a day, by its profile and by what was agreed for it."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q

from husbandry.models import Animal, TargetOverride
from husbandry.queries.animals import reproduction_on
from husbandry.queries.policies import profile_for
from husbandry.queries.profiles import ProfileVersion
from husbandry.queries.review import override_value
from husbandry.rules.profiles.resolving import (
    Override,
    ResolvedTarget,
    resolve_targets,
    stage_on,
)
from husbandry.rules.profiles.values import Stage
from husbandry.rules.vocabulary import Reproduction, Sex


@dataclass(frozen=True, slots=True)
class Needs:
    """What is in force for an animal on a day, and what that was chosen by.

    Attributes:
        version: of the care profile, with the limits that the animal's site has set
            instead; None: none is published, so nothing is wanted.
        stage: None where its age is not known.
        targets: of the climate, each with its source.
    """

    version: ProfileVersion | None
    stage: Stage | None
    reproduction: Reproduction
    targets: tuple[ResolvedTarget, ...]


def needs_on(*, animal: Animal, on: date, at: datetime) -> Needs:
    """Return what an animal needs on a day; at most five queries.

    Args:
        animal: which.
        on: the local day.
        at: now; agreements withdrawn by then do not count.
    """
    version = profile_for(animal=animal, on=on, at=at)
    reproduction = reproduction_on(animal=animal, on=on)
    overrides = overrides_on(animal=animal, on=on, at=at)
    if version is None:
        return Needs(None, None, reproduction, ())
    stage = stage_on(version.profile, hatched_on=animal.hatched_on, on=on)
    targets = resolve_targets(
        version.profile,
        stage=stage.code if stage else None,
        sex=Sex(animal.sex),
        reproduction=reproduction,
        overrides=overrides,
        on=on,
    )
    return Needs(version, stage, reproduction, targets)


def overrides_on(*, animal: Animal, on: date, at: datetime) -> tuple[Override, ...]:
    """Return what was agreed by now for a day and not withdrawn by now; one query."""
    rows = TargetOverride.objects.filter(
        Q(withdrawn_at__isnull=True) | Q(withdrawn_at__gt=at),
        animal=animal,
        from_on__lte=on,
        until_on__gte=on,
        made_at__lte=at,
    ).select_related("made_by")
    return tuple(override_value(row) for row in rows.order_by("made_at", "pk"))
