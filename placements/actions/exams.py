"""Record what was seen when somebody looked an animal over."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from core import audit
from core.models import User
from husbandry.actions.observations import ObservationRow, record_observations
from husbandry.models import Animal
from husbandry.queries.returns import times_away
from husbandry.queries.whereabouts import whereabouts
from husbandry.rules.care_entries import TimeHere, check_instant
from husbandry.rules.vocabulary import (
    AnimalStatus,
    DatePrecision,
    ObservationKind,
    Observed,
    RowOutcome,
)
from placements.models import Exam, ExamLine, Intake
from placements.rules.exams import ExamError, ExamPart, check_exam

LONGEST_TEXT = 2000


@dataclass(frozen=True, slots=True)
class ExamRow:
    """One look over one animal.

    Attributes:
        at: when; now or earlier, while it was here.
        examined_by: who looked.
        parts: what was seen, part by part; what is left out was not looked at.
        intake: the one that it belongs to; None: a later look.
        signs: ids of warning signs of its profile that were seen.
    """

    animal: Animal
    at: datetime
    examined_by: str
    parts: tuple[ExamPart, ...]
    note: str = ""
    intake: Intake | None = None
    signs: tuple[str, ...] = ()


def record_exam(*, row: ExamRow, by: User | None, recorded_at: datetime) -> Exam:
    """Record one look over an animal; see `record_exams`."""
    return record_exams(rows=[row], by=by, recorded_at=recorded_at)[0]


@transaction.atomic
def record_exams(
    *, rows: Sequence[ExamRow], by: User | None, recorded_at: datetime
) -> list[Exam]:
    """Record looks over animals, all or none; as many queries for many as for one.

    Nothing of it is a diagnosis, and nothing of it is altered: another look is another
    exam. Warning signs become observations, which the night tells until they are gone.

    Args:
        rows: in any order; none does nothing.
        by: the person.
        recorded_at: now.

    Returns:
        The exams, in the order given.

    Raises:
        ExamError: nobody is named, nothing was looked at, something unusual is not
            said in words, or a sign is none of its profile's.
        CareEntryError: nothing can have been seen of it then.
    """
    if not rows:
        return []
    kept = [check_exam(examined_by=row.examined_by, parts=row.parts) for row in rows]
    _check_times(rows, recorded_at)
    exams = Exam.objects.bulk_create(
        Exam(
            animal=row.animal,
            intake=row.intake,
            at=row.at,
            examined_by=row.examined_by.strip(),
            note=_note(row),
            recorded_by=by,
            recorded_at=recorded_at,
        )
        for row in rows
    )
    ExamLine.objects.bulk_create(
        ExamLine(
            exam=exam,
            system=part.system.value,
            outcome=part.outcome.value,
            note=part.note.strip(),
        )
        for exam, parts in zip(exams, kept, strict=True)
        for part in parts
    )
    _record_signs(rows, by=by, recorded_at=recorded_at)
    audit.record_all(
        [
            audit.Deed(exam, "record_exam", after=_told(exam, parts))
            for exam, parts in zip(exams, kept, strict=True)
        ],
        by=by,
        at=recorded_at,
    )
    return exams


def _record_signs(
    rows: Sequence[ExamRow], *, by: User | None, recorded_at: datetime
) -> None:
    results = record_observations(
        rows=[
            ObservationRow(
                animal=row.animal.code,
                at=row.at,
                kind=ObservationKind.SIGN,
                sign=sign,
                observed=Observed.PRESENT,
                note="Seen at a look over.",
            )
            for row in rows
            for sign in row.signs
        ],
        by=by,
        recorded_at=recorded_at,
    )
    for result in results:
        if result.outcome is RowOutcome.REFUSED:
            raise ExamError(result.sentence, fields={"signs": "signs of its profile"})


def _told(exam: Exam, parts: Sequence[ExamPart]) -> dict[str, object]:
    """Return what the audit trail keeps; who looked may be somebody from outside."""
    return {
        "animal": exam.animal_id,
        "at": exam.at,
        "parts": {part.system.value: part.outcome.value for part in parts},
    }


def _note(row: ExamRow) -> str:
    note = row.note.strip()
    if len(note) > LONGEST_TEXT:
        raise ExamError(
            f"The note has {len(note)} characters; at most {LONGEST_TEXT} are kept.",
            fields={"note": f"at most {LONGEST_TEXT} characters"},
        )
    return note


def _check_times(rows: Sequence[ExamRow], recorded_at: datetime) -> None:
    animals = {row.animal.pk: row.animal for row in rows}
    places, away = whereabouts(animal_ids=animals), times_away(animals=animals.values())
    for row in rows:
        animal = row.animal
        exact = animal.hatched_precision == DatePrecision.DAY
        here = TimeHere(
            str(animal),
            animal.hatched_on if exact else None,
            animal.left_on,
            never_here=animal.status == AnimalStatus.ELSEWHERE,
            away=away.get(animal.pk, ()),
        )
        on = places.local_day(animal.pk, at=row.at)
        check_instant(here, at=row.at, on=on, recorded_at=recorded_at)
