"""What is on record of descent: before a file is taken in, and as it is drawn."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, F, OuterRef, Q

from clutches.models import CandidateSire, Hatchling
from clutches.queries.lineage import lineage_of
from clutches.rules.lineage.kinship import inbreeding_of, lower_bounds
from clutches.rules.pedigrees.ancestry import (
    CERTAIN,
    Kin,
    Place,
    ids_within,
    places_of,
)
from clutches.rules.pedigrees.records import Known, Records
from clutches.rules.pedigrees.words import Inbreeding
from husbandry.models import Animal, Species
from husbandry.rules.vocabulary import AnimalStatus, DatePrecision, Sex

_COLUMNS = (
    *("pk", "code", "name", "species_id", "sex", "hatched_on", "hatched_precision"),
    *("dam_id", "sire_id", "status"),
)


def pedigree_records() -> Records:
    """Return all animals and species on record; four queries.

    All of them: a file may name any, in any capitals, and loops may run over animals
    that it does not name.
    """
    animals = tuple(_known(_candidates()))
    species: dict[str, int] = {}
    rows = list(Species.objects.order_by("pk"))
    for row in rows:
        for word in (row.code, row.common_name, row.scientific_name):
            if word:
                species.setdefault(word.casefold(), row.pk)
    return Records(animals, species, rows[0].pk if len(rows) == 1 else None)


def _candidates() -> dict[int, tuple[int, ...]]:
    """Return the males that may be the sire of an animal, its own or its clutch's."""
    own = CandidateSire.objects.filter(animal__isnull=False)
    of_clutch = CandidateSire.objects.filter(clutch__hatchlings__isnull=False)
    found: dict[int, list[int]] = defaultdict(list)
    for animal, sire in (
        *own.order_by("pk").values_list("animal_id", "sire_id"),
        *of_clutch.order_by("pk").values_list(
            "clutch__hatchlings__animal_id", "sire_id"
        ),
    ):
        found[animal].append(sire)
    return {animal: tuple(sires) for animal, sires in found.items()}


def _known(candidates: Mapping[int, tuple[int, ...]]) -> Iterator[Known]:
    rows = Animal.objects.order_by("pk").values_list(*_COLUMNS)
    for pk, code, name, species, sex, on, precision, dam, sire, status in rows:
        yield Known(
            id=pk,
            code=code,
            name=name,
            species=species,
            sex=Sex(sex),
            hatched_on=on,
            hatched_precision=DatePrecision(precision),
            dam=dam,
            sire=sire,
            never_here=status == AnimalStatus.ELSEWHERE,
            candidates=() if sire else candidates.get(pk, ()),
        )


@dataclass(frozen=True, slots=True)
class Pedigree:
    """An animal's ancestors as they are drawn, and how inbred it is."""

    places: tuple[Place, ...]
    inbreeding: Inbreeding


@dataclass(frozen=True, slots=True)
class YoungLine:
    """One of an animal's young; probability 1: on record as its parent.

    Attributes:
        other: the other parent, as people call it; "" where it is not known.
    """

    id: int
    label: str
    sex: Sex
    hatched_on: date | None
    status: AnimalStatus
    other: str
    probability: float


def pedigree_of(*, animal_id: int, generations: int) -> Pedigree:
    """Return an animal's ancestors and its inbreeding; three queries.

    Args:
        animal_id: the animal.
        generations: of ancestors to show, 1 to 6; inbreeding counts all.

    Raises:
        LineageError: somebody descends from itself.
    """
    lineage = lineage_of(animal_ids=[animal_id])
    ids = ids_within(lineage, animal_id, generations=generations)
    kin = {
        pk: Kin(pk, code, name, Sex(sex), on, DatePrecision(precision))
        for pk, code, name, sex, on, precision in Animal.objects.filter(
            pk__in=ids
        ).values_list("pk", "code", "name", "sex", "hatched_on", "hatched_precision")
    }
    at = lineage.places[animal_id]
    shares = lineage.weights[:, 1:]
    return Pedigree(
        places=places_of(lineage, animal_id, generations=generations, kin=kin),
        inbreeding=Inbreeding(
            value=float(inbreeding_of(lineage)[at]),
            at_least=bool(lower_bounds(lineage)[at]),
            expected=bool(((shares > 0) & (shares < CERTAIN / 2)).any()),
        ),
    )


def young_of(*, animal_id: int, most: int) -> tuple[tuple[YoungLine, ...], int]:
    """Return an animal's young, those it may have sired too; four queries.

    Args:
        animal_id: the parent.
        most: how many are listed at most.

    Returns:
        The youngest first, those without a hatch date last; and how many there are.
    """
    own = Q(dam=animal_id) | Q(sire=animal_id)
    shares = _shares_of(animal_id)
    rows = (
        Animal.objects.filter(own | Q(pk__in=list(shares), sire__isnull=True))
        .select_related("dam", "sire")
        .order_by(F("hatched_on").desc(nulls_last=True), "code")
    )
    return tuple(_young(row, animal_id, shares) for row in rows[:most]), rows.count()


def _shares_of(sire_id: int) -> dict[int, float]:
    """Return the animals that a male may have sired, and how likely; two queries.

    Those of a clutch count for its animals without candidates of their own.
    """
    own = CandidateSire.objects.filter(sire=sire_id, animal__isnull=False)
    others = CandidateSire.objects.filter(animal=OuterRef("animal"))
    of_clutch = Hatchling.objects.filter(
        ~Exists(others), clutch__candidate_sires__sire=sire_id
    )
    shares = dict(own.values_list("animal_id", "probability"))
    shares |= dict(
        of_clutch.values_list("animal_id", "clutch__candidate_sires__probability")
    )
    return {pk: float(probability) for pk, probability in shares.items() if pk}


def _young(row: Animal, parent_id: int, shares: Mapping[int, float]) -> YoungLine:
    on_record = parent_id in (row.dam_id, row.sire_id)
    other = row.sire if row.dam_id == parent_id else row.dam
    return YoungLine(
        id=row.pk,
        label=str(row),
        sex=Sex(row.sex),
        hatched_on=row.hatched_on,
        status=AnimalStatus(row.status),
        other=str(other) if other else "",
        probability=1.0 if on_record else shares[row.pk],
    )
