"""Whom findings about placements are about, when the night does not know them."""

from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import Q

from husbandry.models import Animal, Species
from placements.models import Placement


@dataclass(frozen=True, slots=True)
class Subject:
    """An animal as people say it."""

    animal: int
    label: str


def subjects(
    *, animal_ids: Collection[int], placement_ids: Collection[int]
) -> tuple[dict[int, Subject], dict[int, Subject]]:
    """Return animals by their own key, and by that of their placement; two queries.

    Args:
        animal_ids: of these.
        placement_ids: and of these placements' animals.
    """
    rows = Placement.objects.filter(pk__in=placement_ids)
    animals = Animal.objects.filter(
        Q(pk__in=animal_ids) | Q(pk__in=rows.values("animal"))
    )
    known = {animal.pk: Subject(animal.pk, str(animal)) for animal in animals}
    by_placement = {
        key: known[animal] for key, animal in rows.values_list("pk", "animal")
    }
    return known, by_placement


def species_names(*, species_ids: Collection[int]) -> dict[int, str]:
    """Return the common names of species by key; one query."""
    rows = Species.objects.filter(pk__in=species_ids)
    return dict(rows.values_list("pk", "common_name"))
