"""Write the register: append what it does not say yet, and never touch what it says."""

from collections.abc import Collection, Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

from django.db import IntegrityError, transaction

from core import audit
from core.errors import DomainError
from core.models import User
from placements.models import RegisterEntry
from placements.queries.movements import animal_records
from placements.queries.register import (
    STRUCK,
    described,
    last_number,
    standing_lines,
)
from placements.rules.register.lines import NewLine, lines_needed

# Each collision means that somebody else's lines were written meanwhile.
MOST_TRIES = 50


class RegisterBusyError(DomainError):
    """Too many lines were written at the same moment."""

    code = "register_busy"


@transaction.atomic
def write_register(
    *, by: User | None, at: datetime, animal_ids: Collection[int] | None = None
) -> int:
    """Append a line for each coming and going that has none, and corrections.

    Numbers go on from the last one without a gap: lines that are not kept in the end
    take no number. Whoever writes at the same moment takes the same next number, so one
    of them looks again and finds what the other wrote: nothing is entered twice.
    Running it again changes nothing.

    Args:
        by: the person; None is the night.
        at: now.
        animal_ids: only these animals; None: all.

    Returns:
        How many lines were appended.

    Raises:
        RegisterBusyError: others took the number again and again.
    """
    for _ in range(MOST_TRIES):
        # In this order. A number that is taken after it was read is refused; and what
        # tells of a line that was read is there to be read after it.
        last = last_number()
        standing = standing_lines(animal_ids=animal_ids)
        new = lines_needed(animal_records(animal_ids=animal_ids), standing)
        if not new:
            return 0
        try:
            with transaction.atomic():
                _append(new, last, by=by, at=at)
        except IntegrityError:
            continue
        return len(new)
    raise RegisterBusyError("Others are writing the register. Try again in a moment.")


def _append(
    new: Sequence[NewLine], last: int, *, by: User | None, at: datetime
) -> None:
    animals = {one.line.movement.animal for one in new}
    told = described(animal_ids=animals, on=at.astimezone(UTC).date())
    entries = [
        _entry(one, number, told, by=by, at=at)
        for number, one in enumerate(new, start=last + 1)
    ]
    RegisterEntry.objects.bulk_create(entries)
    audit.record(
        entries[0],
        verb="write_register",
        by=by,
        at=at,
        after={"first": entries[0].number, "last": entries[-1].number},
    )


def _entry(
    new: NewLine,
    number: int,
    told: Mapping[int, dict[str, Any]],
    *,
    by: User | None,
    at: datetime,
) -> RegisterEntry:
    movement = new.line.movement
    facts = dict(told[movement.animal])
    name = facts.pop("scientific_name")
    # What it is compared by is what the line says, also of one that is struck out.
    facts["species"] = new.line.species
    if new.strikes:
        facts[STRUCK] = new.corrects.number if new.corrects else None
    return RegisterEntry(
        number=number,
        on=movement.on,
        direction=movement.direction.value,
        how=movement.how.value,
        animal_id=movement.animal,
        animal_code=new.line.code,
        scientific_name=name,
        home_id=movement.home,
        arrival_id=movement.arrival,
        placement_id=movement.placement,
        facts=facts,
        corrects_id=new.corrects.id if new.corrects else None,
        note=new.note,
        entered_at=at,
        entered_by=by,
    )
