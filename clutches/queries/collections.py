"""How the animals in care of a species are related, and what they hold."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from django.db.models import QuerySet

from clutches.models import Clutch, Hatchling
from clutches.queries.lineage import CandidateLine, candidate_sires, lineage_of
from clutches.rules.lineage.diversity import (
    Contributions,
    founder_contributions,
    founder_equivalents,
    founder_genome_equivalents,
    gene_diversity,
)
from clutches.rules.lineage.kinship import (
    collection_kinship,
    inbreeding_of,
    known_generations,
    lower_bounds,
)
from clutches.rules.lineage.lineages import Floats, Lineage
from husbandry.models import Animal, Species
from husbandry.rules.vocabulary import AnimalStatus


@dataclass(frozen=True, slots=True)
class CollectionFigures:
    """What the animals in care of a species hold of their founders' diversity.

    Attributes:
        animals: how many are in care.
        mean_kinship: mean of their mean kinships, each counting itself; None: none
            is in care, and so are the others.
        bounded: of how many the figures are lower bounds.
    """

    animals: int
    mean_kinship: float | None
    gene_diversity: float | None
    founder_genome_equivalents: float | None
    bounded: int


@dataclass(frozen=True, slots=True)
class MemberFigures:
    """One animal's figures within the collection of its species.

    Attributes:
        inbreeding: F.
        lower_bound: whether F and mean kinship may be higher in truth.
        known_generations: how deep its ancestry is on record.
    """

    id: int
    code: str
    label: str
    inbreeding: float
    lower_bound: bool
    known_generations: float
    mean_kinship: float


@dataclass(frozen=True, slots=True)
class CollectionMembers:
    """Everybody in care of a species, the lowest mean kinship first.

    Attributes:
        contributions: which share of their genes comes from whom.
        founder_equivalents: None: nobody is in care.
        labels: of the founders, by id.
    """

    members: tuple[MemberFigures, ...]
    figures: CollectionFigures
    contributions: Contributions
    founder_equivalents: float | None
    labels: dict[int, str]


@dataclass(frozen=True, slots=True)
class AnimalLineage:
    """One animal's figures within its species, and who may be its sire.

    Attributes:
        clutch: it came from; None: not on record.
        candidates: the likeliest first; none where nothing but its own record says.
        of_clutch: whether they were given for the clutch, not for the animal.
    """

    figures: MemberFigures
    collection: CollectionFigures
    clutch: Clutch | None
    candidates: tuple[CandidateLine, ...]
    of_clutch: bool


def collection_members(*, species: Species) -> CollectionMembers:
    """Return the figures of everybody in care of a species; three queries.

    Args:
        species: of which.

    Raises:
        LineageError: somebody descends from itself.
    """
    everybody = list(in_care(species))
    ids = [one.pk for one in everybody]
    lineage = lineage_of(animal_ids=ids)
    means = collection_kinship(lineage, ids)
    members = _members(lineage, means, everybody)
    found = founder_contributions(lineage, ids)
    return CollectionMembers(
        members=tuple(
            sorted(members, key=lambda m: (round(m.mean_kinship, 10), m.code))
        ),
        figures=collection_figures(lineage, means, ids),
        contributions=found,
        founder_equivalents=founder_equivalents([share for _, share in found.founders]),
        labels={id_: lineage.labels[lineage.places[id_]] for id_, _ in found.founders},
    )


def animal_lineage(*, animal: Animal) -> AnimalLineage:
    """Return an animal's figures, and who may be its sire; five queries.

    Args:
        animal: in care or not; its mean kinship is to all of its species that are.

    Raises:
        LineageError: somebody descends from itself.
    """
    ids = list(in_care(animal.species).values_list("pk", flat=True))
    lineage = lineage_of(animal_ids={*ids, animal.pk})
    means = collection_kinship(lineage, ids)
    hatchling = Hatchling.objects.filter(animal=animal).select_related("clutch").first()
    clutch = hatchling.clutch if hatchling else None
    by_clutch, by_animal = candidate_sires(
        clutch_ids=[clutch.pk] if clutch else [], animal_ids=[animal.pk]
    )
    own = by_animal.get(animal.pk, ())
    return AnimalLineage(
        figures=_members(lineage, means, [animal])[0],
        collection=collection_figures(lineage, means, ids),
        clutch=clutch,
        candidates=own or (by_clutch.get(clutch.pk, ()) if clutch else ()),
        of_clutch=not own,
    )


def in_care(species: Species) -> QuerySet[Animal]:
    """Return all animals of a species that are in care, by code."""
    status = AnimalStatus.IN_CARE.value
    return Animal.objects.filter(species=species, status=status).order_by("code")


def _members(
    lineage: Lineage, means: Floats, animals: Sequence[Animal]
) -> list[MemberFigures]:
    inbreeding, bounds = inbreeding_of(lineage), lower_bounds(lineage)
    depth = known_generations(lineage)
    places = lineage.places_of([one.pk for one in animals])
    return [
        MemberFigures(
            id=one.pk,
            code=one.code,
            label=str(one),
            inbreeding=float(inbreeding[place]),
            lower_bound=bool(bounds[place]),
            known_generations=float(depth[place]),
            mean_kinship=float(means[place]),
        )
        for one, place in zip(animals, places, strict=True)
    ]


def collection_figures(
    lineage: Lineage, means: Floats, collection: Sequence[int]
) -> CollectionFigures:
    """Return what a collection holds; no query.

    Args:
        lineage: with the collection and all its ancestors.
        means: everybody's mean kinship to the collection, in the lineage's order.
        collection: ids; nobody has no figures.
    """
    if not collection:
        return CollectionFigures(0, None, None, None, 0)
    places = lineage.places_of(collection)
    own = means[places]
    return CollectionFigures(
        animals=len(collection),
        mean_kinship=float(np.mean(own)),
        gene_diversity=gene_diversity(own),
        founder_genome_equivalents=founder_genome_equivalents(own),
        bounded=int(lower_bounds(lineage)[places].sum()),
    )
