"""What is on record before a pedigree file is taken in."""

from collections import defaultdict
from collections.abc import Iterator, Mapping

from clutches.models import CandidateSire
from clutches.rules.pedigrees.records import Known, Records
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
