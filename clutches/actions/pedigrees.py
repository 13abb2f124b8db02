"""Take in a pedigree file: ancestors are registered, parents are filled in."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

from django.db import transaction

from clutches.queries.pedigrees import pedigree_records
from clutches.rules.pedigrees.files import read_cells
from clutches.rules.pedigrees.planning import plan_import
from clutches.rules.pedigrees.records import (
    FilledIn,
    ImportPlan,
    NewAncestor,
    ParentRef,
)
from clutches.rules.pedigrees.reports import PedigreeReport, report_of
from core import audit
from core.models import User
from husbandry.actions.ancestors import register_ancestors
from husbandry.actions.animal_records import FURTHEST_ZONE
from husbandry.models import Animal, Species
from husbandry.rules.animals import AnimalError
from husbandry.rules.loggers.vocabulary import DayOrder
from husbandry.rules.vocabulary import DatePrecision, Origin, Sex, SexBasis

_COLUMNS = (
    *("name", "sex", "sex_basis", "sex_confidence", "hatched_on"),
    *("hatched_precision", "dam", "sire"),
)


@transaction.atomic
def import_pedigree(
    *,
    data: bytes,
    file_name: str,
    species: Species | None,
    day_order: DayOrder | None,
    on: date,
    by: User | None,
    at: datetime,
) -> PedigreeReport:
    """Take in a pedigree file, whole or, where a line is wrong, but for that line.

    Who is not on record is registered as an ancestor that was never here; parents
    are filled in where none is on record. The same file once more changes nothing.

    Args:
        data: CSV text or a spreadsheet, up to 10 MB.
        file_name: for the report and the audit trail.
        species: of animals whose line names none; None: not said.
        day_order: of hatch dates; None: as the file shows it.
        on: the local day on which they are put on record.
        by: the person.
        at: now.

    Returns:
        What became of every line.

    Raises:
        PedigreeFileError: there is no pedigree in the file.
        PedigreeUndecidedError: the order of days, or a species, has to be said.
        AnimalError: somebody else changed one of the animals in the meantime.
    """
    plan = _plan(data, species=species, day_order=day_order, at=at)
    reason = f"From the pedigree file {file_name}."[:200]
    registered = _register(plan, on=on, by=by, at=at)
    _fill_in(plan.filled, registered, reason=reason, by=by, at=at)
    return report_of(plan, file_name=file_name, dry_run=False)


def try_pedigree(
    *,
    data: bytes,
    file_name: str,
    species: Species | None,
    day_order: DayOrder | None,
    at: datetime,
) -> PedigreeReport:
    """Say what `import_pedigree` would do, and change nothing; see there."""
    plan = _plan(data, species=species, day_order=day_order, at=at)
    return report_of(plan, file_name=file_name, dry_run=True)


def _plan(
    data: bytes,
    *,
    species: Species | None,
    day_order: DayOrder | None,
    at: datetime,
) -> ImportPlan:
    return plan_import(
        read_cells(data),
        pedigree_records(),
        species=species.pk if species else None,
        day_order=day_order,
        today=(at + FURTHEST_ZONE).date(),
    )


def _register(
    plan: ImportPlan, *, on: date, by: User | None, at: datetime
) -> dict[str, int]:
    """Register who is new, generation by generation; return their keys by code."""
    keys: dict[str, int] = {}
    for generation in plan.generations:
        saved = register_ancestors(
            animals=[_animal(one, keys) for one in generation], on=on, by=by, at=at
        )
        keys |= {animal.code: animal.pk for animal in saved}
    return keys


def _animal(one: NewAncestor, keys: Mapping[str, int]) -> Animal:
    sexed = one.sex is not Sex.UNKNOWN
    return Animal(
        code=one.code,
        name=one.name,
        species_id=one.species,
        sex=one.sex.value,
        sex_basis=(SexBasis.REPORTED if sexed else SexBasis.NOT_SEXED).value,
        sex_confidence=one.confidence.value,
        hatched_on=one.hatched_on,
        hatched_precision=one.hatched_precision.value,
        origin=Origin.UNKNOWN.value,
        dam_id=_key(one.dam, keys),
        sire_id=_key(one.sire, keys),
    )


def _key(parent: ParentRef | None, keys: Mapping[str, int]) -> int | None:
    return keys[parent] if isinstance(parent, str) else parent


def _fill_in(
    fills: Sequence[FilledIn],
    keys: Mapping[str, int],
    *,
    reason: str,
    by: User | None,
    at: datetime,
) -> None:
    rows = Animal.objects.select_for_update(no_key=True).filter(
        pk__in=[fill.id for fill in fills]
    )
    animals = {animal.pk: animal for animal in rows.order_by("pk")}
    deeds = []
    for fill in fills:
        animal, new = animals[fill.id], _new_values(fill, keys)
        _check_still_so(animal, new)
        before = {name: getattr(animal, name) for name in new}
        for name, value in new.items():
            setattr(animal, name, value)
        deeds.append(
            audit.Deed(
                animal, "correct_animal", _told(before), _told(new), reason=reason
            )
        )
    Animal.objects.bulk_update([animals[fill.id] for fill in fills], _COLUMNS)
    audit.record_all(deeds, by=by, at=at)


def _new_values(fill: FilledIn, keys: Mapping[str, int]) -> dict[str, Any]:
    new: dict[str, Any] = {"dam_id": _key(fill.dam, keys)}
    new["sire_id"] = _key(fill.sire, keys)
    new["name"] = fill.name
    if fill.sex is not None and fill.confidence is not None:
        new["sex"] = fill.sex.value
        new["sex_basis"] = SexBasis.REPORTED.value
        new["sex_confidence"] = fill.confidence.value
    if fill.hatched_on is not None and fill.hatched_precision is not None:
        new["hatched_on"] = fill.hatched_on
        new["hatched_precision"] = fill.hatched_precision.value
    return {name: value for name, value in new.items() if value}


def _check_still_so(animal: Animal, new: Mapping[str, Any]) -> None:
    """Refuse to overwrite what somebody wrote between the plan and the lock."""
    empty = {"sex": Sex.UNKNOWN.value, "name": "", "dam_id": None, "sire_id": None}
    empty["hatched_precision"] = DatePrecision.UNKNOWN.value
    if any(getattr(animal, name) != empty.get(name) for name in new if name in empty):
        raise AnimalError(
            f"{animal} was changed in the meantime. Do it again: what is on record by "
            "then is left as it is."
        )


def _told(values: Mapping[str, Any]) -> dict[str, Any]:
    return {name.removesuffix("_id"): value for name, value in values.items()}
