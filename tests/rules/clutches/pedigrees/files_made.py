"""Pedigree files and records for the tests of the rules about them."""

from collections.abc import Sequence
from datetime import date

from clutches.rules.pedigrees.files import read_cells
from clutches.rules.pedigrees.planning import plan_import
from clutches.rules.pedigrees.records import (
    ImportPlan,
    Known,
    NewAncestor,
    ParentRef,
    Records,
)
from husbandry.rules.loggers.vocabulary import DayOrder
from husbandry.rules.vocabulary import DatePrecision, Sex

TODAY = date(2026, 3, 2)
SPECIES = {"veiled_chameleon": 1, "veiled chameleon": 1, "ball python": 2}
HEADER = "code,dam,sire,sex,hatched"


def records(*animals: Known, only_species: int | None = 1) -> Records:
    return Records(animals, SPECIES, only_species)


def known(
    id: int,  # noqa: A002 - the field's name
    code: str,
    *,
    sex: Sex = Sex.UNKNOWN,
    dam: int | None = None,
    sire: int | None = None,
    hatched_on: date | None = None,
    never_here: bool = False,
    candidates: tuple[int, ...] = (),
    species: int = 1,
) -> Known:
    return Known(
        id=id,
        code=code,
        name="",
        species=species,
        sex=sex,
        hatched_on=hatched_on,
        hatched_precision=DatePrecision.DAY if hatched_on else DatePrecision.UNKNOWN,
        dam=dam,
        sire=sire,
        never_here=never_here,
        candidates=candidates,
    )


def plan(
    text: str | bytes,
    on_record: Records | None = None,
    *,
    species: int | None = None,
    day_order: DayOrder | None = None,
) -> ImportPlan:
    data = text.encode() if isinstance(text, str) else text
    return plan_import(
        read_cells(data),
        on_record or records(),
        species=species,
        day_order=day_order,
        today=TODAY,
    )


def lines(*rows: str, header: str = HEADER) -> str:
    return "\n".join([header, *rows])


def new(found: ImportPlan) -> dict[str, NewAncestor]:
    return {a.code: a for generation in found.generations for a in generation}


def parents(found: ImportPlan) -> dict[str, tuple[ParentRef | None, ParentRef | None]]:
    return {code: (animal.dam, animal.sire) for code, animal in new(found).items()}


def said(found: ImportPlan) -> dict[int, tuple[str, ...]]:
    return {line.line: line.said for line in found.lines if line.said}


def carried_out(on_record: Records, found: ImportPlan) -> Records:
    """Return the records as they would be after a plan, worked out by hand here."""
    animals = {animal.id: animal for animal in on_record.animals}
    ids: dict[ParentRef, int] = {}
    for animal in new(found).values():
        ids[animal.code] = max([0, *animals, *ids.values()]) + 1

    def key(ref: ParentRef | None) -> int | None:
        return ids[ref] if isinstance(ref, str) else ref

    for code, animal in new(found).items():
        animals[ids[code]] = Known(
            id=ids[code],
            code=code,
            name=animal.name,
            species=animal.species,
            sex=animal.sex,
            hatched_on=animal.hatched_on,
            hatched_precision=animal.hatched_precision,
            dam=key(animal.dam),
            sire=key(animal.sire),
            never_here=True,
            candidates=(),
        )
    for fill in found.filled:
        old = animals[fill.id]
        animals[fill.id] = Known(
            id=old.id,
            code=old.code,
            name=fill.name or old.name,
            species=old.species,
            sex=fill.sex or old.sex,
            hatched_on=fill.hatched_on or old.hatched_on,
            hatched_precision=fill.hatched_precision or old.hatched_precision,
            dam=key(fill.dam) or old.dam,
            sire=key(fill.sire) or old.sire,
            never_here=old.never_here,
            candidates=old.candidates,
        )
    return Records(tuple(animals.values()), on_record.species, on_record.only_species)


def shuffled(rows: Sequence[str], order: Sequence[int]) -> str:
    return lines(*(rows[at] for at in order))
