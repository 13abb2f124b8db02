"""Record how long animals are."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from core.models import User
from husbandry.actions.animal_books import lock_subjects, mark_animals_of, open_book
from husbandry.actions.care_books import Ruling
from husbandry.actions.care_records import CareResult
from husbandry.models import Measuring
from husbandry.rules.care_entries import round_lengths

MEASURING = Ruling(
    "measuring", key=("animal_id", "at"), content=("snout_vent_cm", "total_cm")
)


@dataclass(frozen=True, slots=True)
class MeasuringRow:
    """One line of a list of lengths.

    Attributes:
        animal: the animal's code.
        at: when it was measured.
        snout_vent_cm: from the snout to the vent, kept to 0.1 cm; None: not measured.
        total_cm: with the tail; None: not measured. One of both is given.
        note: up to 300 characters; of a correction, what was wrong, up to 200.
        corrects: key of the measuring that it replaces, which is struck out.
    """

    animal: str
    at: datetime
    snout_vent_cm: Decimal | None = None
    total_cm: Decimal | None = None
    note: str = ""
    corrects: int | None = None


@transaction.atomic
def record_measurings(
    *, rows: Sequence[MeasuringRow], by: User | None, recorded_at: datetime
) -> tuple[CareResult, ...]:
    """Record a list of lengths; a bad line does not keep the others out.

    Reviews that judged the animals from those days on are marked stale. The same
    list recorded again changes nothing. As many queries for one line as for many.

    Args:
        rows: in any order. Only what no animal can have is refused: one that is
            shorter than it was is kept as it was measured.
        by: the person.
        recorded_at: now.

    Returns:
        What became of each line, in their order.
    """
    subjects = lock_subjects(rows)
    book = open_book(
        Measuring,
        MEASURING,
        rows=rows,
        subjects=subjects,
        by=by,
        recorded_at=recorded_at,
    )

    def enter(row: MeasuringRow) -> None:
        animal = subjects.animal(row.animal)
        # Rounded first: what is on record is compared as it is kept.
        body, whole = round_lengths(
            snout_vent_cm=row.snout_vent_cm, total_cm=row.total_cm
        )
        record = Measuring(
            animal=animal,
            at=row.at,
            snout_vent_cm=body,
            total_cm=whole,
            note=row.note,
        )

        def check() -> tuple[str, ...]:
            subjects.check_instant(animal, at=row.at, recorded_at=recorded_at)
            return ()

        book.enter(record, corrects=row.corrects, check=check)

    book.enter_each(rows, enter)
    results = book.write()
    mark_animals_of(book)
    return results
