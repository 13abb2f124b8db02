"""Put ancestors on record that were never in care here."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Unpack

from django.db import transaction

from core import audit
from core.constraints import promised
from core.models import User
from husbandry.actions.animal_records import (
    FIELDS,
    AnimalDetails,
    check_details,
    on_record,
    save_animal,
    set_details,
)
from husbandry.models import Animal, Species
from husbandry.rules.animals import AnimalError
from husbandry.rules.vocabulary import AnimalStatus

VERB = "register_ancestor"


@transaction.atomic
def register_ancestor(
    *,
    code: str,
    species: Species,
    on: date,
    by: User | None,
    at: datetime,
    **details: Unpack[AnimalDetails],
) -> Animal:
    """Put an animal on record as an ancestor; it is not and was not in care here.

    No night looks at it and nobody can record care of it. If it comes here one day,
    it has to be registered as an animal in care.

    Args:
        code: as others call it, up to 20 characters; unique for ever.
        species: its kind.
        on: the local day on which it is put on record; not to come.
        by: the person.
        at: now.
        details: see `AnimalDetails`; what is left out is unknown.

    Raises:
        AnimalError: code taken or blank, or a date to come.
        SexError: sex, basis and confidence do not fit together.
        ParentError: a parent that cannot be.
        MicrochipError: no number of a chip, a test number, or another animal's.
    """
    animal = Animal(code=code, species=species)
    _never_here(animal, on)
    set_details(animal, details)
    check_details(animal, at=at)
    save_animal(animal)
    after = audit.values(animal, *FIELDS, "status")
    audit.record(animal, verb=VERB, by=by, at=at, after=after)
    return animal


@transaction.atomic
def register_ancestors(
    *, animals: Sequence[Animal], on: date, by: User | None, at: datetime
) -> list[Animal]:
    """Put many ancestors on record at once, an audit entry each; see the above.

    Args:
        animals: not saved yet, and held to the rules already; their parents are.
        on: the local day on which they are put on record.
        by: the person.
        at: now.

    Returns:
        The animals, with their keys, in the order given.

    Raises:
        AnimalError: somebody has taken one of the codes in the meantime.
    """
    for animal in animals:
        _never_here(animal, on)
    taken = AnimalError(
        "Somebody has registered one of these animals in the meantime. Do it again: "
        "what is on record by then is left as it is.",
        fields={"code": "one that no animal ever had"},
    )
    with promised({"husbandry_animal_code": taken, "husbandry_animal.code": taken}):
        saved = Animal.objects.bulk_create(animals)
    audit.record_all(
        [
            audit.Deed(animal, VERB, after=on_record(animal, "status"))
            for animal in saved
        ],
        by=by,
        at=at,
    )
    return saved


def _never_here(animal: Animal, on: date) -> None:
    animal.status = AnimalStatus.ELSEWHERE.value
    animal.arrived_on = animal.left_on = on
