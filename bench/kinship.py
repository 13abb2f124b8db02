"""Inbreeding and kinship of a large pedigree, beside copying the table they fill."""

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta

import numpy as np
from django.db import connection

from bench.frame import Figure, progress, side_by_side
from bench.scratch import scratch_database
from clutches.queries.advice import pair_advice
from clutches.queries.lineage import lineage_of
from clutches.rules.lineage.kinship import (
    Lineage,
    LineageRow,
    build_lineage,
    collection_kinship,
    inbreeding_of,
    kinship_of,
)
from clutches.rules.lineage.lineages import Floats
from husbandry.models import Animal, Species
from husbandry.rules.vocabulary import DatePrecision, Sex

ANIMALS = 10_000
CHOSEN = 100
PAIRED = 400  # half of them females
PAGE = 100
BREEDERS_OF = 10  # one female and one male of so many animals have young
BREED_FOR = 1_500  # so many animals later they have none any more
BATCH = 250
MOST_KINSHIP_MS, MOST_INBREEDING_MS = 50, 500
HATCHED_ON = date(2010, 1, 1)
ROWS = "SELECT id, dam_id, sire_id, code, name, origin FROM husbandry_animal"


def figures(*, size: int | None) -> Iterator[Figure]:
    """Measure the arithmetic alone, then with the rows read from the database."""
    animals = size or ANIMALS
    label = f"kinship, {animals:,} animals"
    with scratch_database():
        ids = raise_pedigree(animals)
        progress("measuring")
        lineage, mixed = lineage_of(animal_ids=ids), everybody_breeds(animals)
        chosen = ids[-CHOSEN:]
        taken = side_by_side(
            {
                "rows": rows_out,
                "read": lambda: lineage_of(animal_ids=ids),
                "inbreeding": lambda: inbreeding_of(lineage),
                "mixed": lambda: inbreeding_of(mixed),
                "means": lambda: collection_kinship(lineage, ids),
                "kinship": lambda: kinship_of(lineage, chosen),
                "asked": asking(chosen),
                "advice": advising(ids[-PAIRED:]),
            }
        )
    yield from _against_limits(label, taken)
    yield Figure(
        f"{label}: advice on {PAIRED // 2} × {PAIRED // 2}", taken["advice"],
        taken["read"], 2.0, "reading the ancestry of all animals in care",
    )  # fmt: skip
    yield Figure(
        f"{label}: read with candidate sires", taken["read"], taken["rows"], None,
        "the same rows by the driver's cursor",
    )  # fmt: skip


def _against_limits(label: str, taken: dict[str, float]) -> Iterator[Figure]:
    for name, what, most in (
        ("inbreeding", "F of all", MOST_INBREEDING_MS),
        ("mixed", "F of all, where everybody may breed", MOST_INBREEDING_MS),
        ("means", "mean kinship of all", MOST_INBREEDING_MS),
        ("kinship", f"{CHOSEN} to one another", MOST_KINSHIP_MS),
    ):
        yield Figure(
            f"{label}: {what}", taken[name], most, 1.0, f"what it may take: {most} ms"
        )
    yield Figure(
        f"{label}: {CHOSEN}, read too", taken["asked"], taken["rows"], None,
        "all animals' rows by the driver's cursor",
    )  # fmt: skip


def raise_pedigree(animals: int) -> list[int]:
    """Store founders, then young of those that breed among the last thousand or so."""
    progress(f"storing {animals:,} animals")
    species = Species.objects.create(
        code="bench", common_name="Bench", scientific_name="Bench"
    )
    random = np.random.default_rng(20260603)
    stored: list[Animal] = []
    while len(stored) < animals:
        start = len(stored)
        batch = range(start, min(start + BATCH, animals))
        oldest = max(0, start - BREED_FOR)
        pairs: list[tuple[Animal | None, Animal | None]] = [(None, None)] * len(batch)
        if start:
            places = random.integers(oldest, start, (len(batch), 2)).tolist()
            pairs = [(stored[_female(d)], stored[_male(s)]) for d, s in places]
        stored += Animal.objects.bulk_create(
            _animal(number, species, dam, sire)
            for number, (dam, sire) in zip(batch, pairs, strict=True)
        )
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    return [row.pk for row in stored]


def _female(place: int) -> int:
    return place - place % BREEDERS_OF


def _male(place: int) -> int:
    return _female(place) + BREEDERS_OF // 2


def _animal(
    number: int, species: Species, dam: Animal | None, sire: Animal | None
) -> Animal:
    hatched_on = HATCHED_ON + timedelta(days=number // 3)
    male = number % BREEDERS_OF >= BREEDERS_OF // 2
    return Animal(
        code=f"K-{number}",
        species=species,
        sex=Sex.MALE.value if male else Sex.FEMALE.value,
        hatched_on=hatched_on,
        hatched_precision=DatePrecision.DAY.value,
        arrived_on=hatched_on,
        dam=dam,
        sire=sire,
    )


def everybody_breeds(animals: int) -> Lineage:
    """Return a pedigree in which any two of all older animals can be the parents."""
    random = np.random.default_rng(20260604)
    rows = [LineageRow(id_) for id_ in range(BATCH)]
    for id_ in range(BATCH, animals):
        dam, sire = (int(place) for place in random.integers(0, id_, 2))
        rows.append(LineageRow(id_, dam, () if dam == sire else ((sire, 1.0),)))
    return build_lineage(rows)


def rows_out() -> None:
    """Fetch the same rows and make nothing of them."""
    with connection.cursor() as cursor:
        cursor.execute(ROWS)
        cursor.fetchall()


def advising(chosen: list[int]) -> Callable[[], object]:
    """Return the work of putting all pairs of some animals in order, best told."""
    codes = list(Animal.objects.filter(pk__in=chosen).values_list("code", flat=True))
    species = Species.objects.get()
    at = datetime(2026, 6, 3, 12, tzinfo=UTC)

    def work() -> object:
        found = pair_advice(species=species, on=at.date(), at=at, codes=codes)
        return found.advice.pairs(0, PAGE)

    return work


def asking(chosen: list[int]) -> Callable[[], Floats]:
    """Return the work of reading some animals' ancestors and relating them."""
    return lambda: kinship_of(lineage_of(animal_ids=chosen), chosen)
