"""How many of each sex hatched, by clutch, pair, incubator or year."""

from collections.abc import Collection, Sequence
from datetime import datetime

from clutches.queries.figures import Asked, breeding_rows
from clutches.rules.figures.grouping import GroupBy, grouped
from clutches.rules.sexing.ratios import GroupSexes, group_sexes
from husbandry.models import Species
from husbandry.queries.profiles import profiles_in_force
from husbandry.rules.profiles.values import SexRatio


def sex_ratios(*, asked: Asked, by: GroupBy, at: datetime) -> tuple[GroupSexes, ...]:
    """Return the sexes of what hatched; two queries more than `breeding_rows`.

    Args:
        asked: which clutches.
        by: what tells groups apart; those in which nothing hatched are left out.
        at: now; by its day the care profiles are chosen.
    """
    rows = breeding_rows(asked=asked, at=at)
    species = {clutch.species for clutch in rows.clutches}
    return group_sexes(grouped(rows, by), _published(species, at))


def _published(codes: Collection[str], at: datetime) -> dict[str, Sequence[SexRatio]]:
    species = dict(Species.objects.filter(code__in=codes).values_list("pk", "code"))
    profiles = profiles_in_force(species_ids=species.keys(), on=at.date())
    return {species[pk]: version.profile.sex_ratios for pk, version in profiles.items()}
