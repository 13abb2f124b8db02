"""What young that are taken in are held to, gathered for all of them at once."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from datetime import date, datetime

from django.db.models import Q

from husbandry.models import Animal, Enclosure, Species, Stay
from husbandry.queries.animals import care_by_animal
from husbandry.queries.moves import destinations
from husbandry.queries.profiles import profile_in_force
from husbandry.rules.arrivals import Nursery
from husbandry.rules.profiles.resolving import (
    company_for,
    incubation_for,
    stage_on,
)
from husbandry.rules.profiles.vocabulary import IncubationMatter
from husbandry.rules.stays import Occupant


def nursery(
    *,
    species: Species,
    codes: Collection[str],
    enclosures: Collection[Enclosure],
    from_at: datetime,
    on: date,
) -> Nursery:
    """Return what young of a species are held to; six queries, however many.

    Args:
        species: of the young.
        codes: that they are to have.
        enclosures: into which they are put.
        from_at: stays there that ended by then do not count.
        on: the local day of hatching, whose profile holds.
    """
    found = profile_in_force(species_id=species.pk, on=on)
    profile = found.profile if found else None
    stage = stage_on(profile, hatched_on=on, on=on) if profile else None
    taken = Animal.objects.filter(code__in=codes).values_list("code", flat=True)
    return Nursery(
        species=species.pk,
        taken=frozenset(taken),
        masses=incubation_for(profile, IncubationMatter.HATCHLING_MASS_G)
        if profile
        else None,
        company=company_for(profile, stage.code if stage else None)
        if profile
        else None,
        enclosures=destinations(enclosures=enclosures, from_at=from_at, on=on),
        occupants=_occupants(enclosures, from_at, on),
    )


def _occupants(
    enclosures: Collection[Enclosure], from_at: datetime, on: date
) -> dict[int, Sequence[Occupant]]:
    stays = list(
        Stay.objects.filter(
            Q(until_at__isnull=True) | Q(until_at__gt=from_at),
            enclosure__in=[e.pk for e in enclosures],
        )
        .select_related("animal")
        .order_by("from_at", "pk")
    )
    care = care_by_animal(animals=[stay.animal for stay in stays], on=on)
    found: dict[int, list[Occupant]] = defaultdict(list)
    for stay in stays:
        held = care[stay.animal_id]
        found[stay.enclosure_id].append(
            Occupant(
                stay=stay.pk,
                label=str(stay.animal),
                species=stay.animal.species_id,
                place=stay.place,
                company=company_for(held.profile, held.stage_code)
                if held.profile
                else None,
            )
        )
    return dict(found)
