"""Species: add them, change what they are called and whether they live wild here."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from core.constraints import promised
from core.errors import DomainError
from core.models import User
from core.reference import keep_reference
from husbandry.models import Species

CHANGEABLE = ("common_name", "scientific_name", "notes", "native_here")


class SpeciesError(DomainError):
    """A species cannot be as asked."""

    code = "species_refused"


@transaction.atomic
def add_species(
    *,
    code: str,
    common_name: str,
    scientific_name: str,
    by: User | None,
    at: datetime,
    notes: str = "",
    native_here: bool = False,
) -> Species:
    """Add a species.

    Args:
        code: as its care profile names it; letters, digits, hyphens, underscores.
        common_name: as people say it.
        scientific_name: genus and species.
        by: the person.
        at: now.
        notes: may be empty.
        native_here: it lives wild where this organisation works.

    Raises:
        SpeciesError: a name is blank or too long, or the code is taken.
    """
    species = Species(
        code=code.strip(),
        common_name=common_name.strip(),
        scientific_name=scientific_name.strip(),
        notes=notes,
        native_here=native_here,
    )
    _check(species)
    taken = SpeciesError(
        f"There is a species {species.code} already; change that one.",
        fields={"code": "one that no species has"},
    )
    with promised({"husbandry_species_code": taken, "husbandry_species.code": taken}):
        keep_reference(row=species, changed=("code", *CHANGEABLE), by=by, at=at)
    return species


@transaction.atomic
def change_species(
    *, species: Species, changes: Mapping[str, Any], by: User | None, at: datetime
) -> Species:
    """Change what is on record of a species; its code stays, as profiles name it.

    Args:
        species: which.
        changes: new values by field, of `CHANGEABLE`; the same again changes nothing.
        by: the person.
        at: now.

    Returns:
        The species, as stored.

    Raises:
        SpeciesError: a name is blank or too long, or it is no field that can change.
    """
    unknown = sorted(set(changes) - set(CHANGEABLE))
    if unknown:
        raise SpeciesError(
            f"{', '.join(unknown)} of a species cannot be changed; what can: "
            f"{', '.join(CHANGEABLE)}."
        )
    row = Species.objects.select_for_update().get(pk=species.pk)
    wanted = {name: _told(value) for name, value in changes.items()}
    new = {name: value for name, value in wanted.items() if getattr(row, name) != value}
    for name, value in new.items():
        setattr(row, name, value)
    _check(row)
    if new:
        keep_reference(row=row, changed=sorted(new), by=by, at=at)
    return row


def _told(value: Any) -> Any:
    return value.strip() if isinstance(value, str) else value


def _check(species: Species) -> None:
    try:
        species.clean_fields()
    except ValidationError as error:
        problems = {name: " ".join(m) for name, m in error.message_dict.items()}
        told = " ".join(f"{name}: {text}" for name, text in problems.items())
        raise SpeciesError(told, fields=problems) from error
