"""Where animals of a delivery are put, and what was weighed and seen of them."""

from collections.abc import Iterator, Sequence
from datetime import datetime

from django.db import transaction

from core.errors import DomainError
from core.models import User
from husbandry.actions.animals import correct_animal
from husbandry.actions.observations import ObservationRow, record_observations
from husbandry.actions.stays import record_move
from husbandry.actions.weights import confirm_weighing, record_weighing
from husbandry.models import Animal
from husbandry.rules.vocabulary import ObservationKind, Observed, RowOutcome
from placements.actions.exams import ExamRow, record_exams
from placements.actions.intake_rows import IntakeRow
from placements.actions.newcomers import chip_given
from placements.models import Intake
from placements.rules.exams import ExamError, check_exam
from placements.rules.intakes import Problem

Line = tuple[IntakeRow, Intake]


@transaction.atomic
def put_on_record(
    lines: Sequence[Line],
    *,
    arrived_at: datetime,
    by: User | None,
    at: datetime,
) -> list[Problem]:
    """House, weigh and look over the animals of a delivery that are in care by now.

    Args:
        lines: what was given, and the intake that came of it.
        arrived_at: when all of it was done and seen.
        by: the person.
        at: now.

    Returns:
        What was refused; the caller keeps nothing then.
    """
    problems: list[Problem] = []
    for line, (row, intake) in enumerate(lines):
        problems += _one(line, row, intake.animal, arrived_at=arrived_at, by=by, at=at)
    problems += _signs(lines, arrived_at=arrived_at, by=by, at=at)
    exams = [
        (line, row, intake)
        for line, (row, intake) in enumerate(lines)
        if row.exam is not None
    ]
    wrong = list(_wrong_exams(exams))
    if not wrong:
        record_exams(
            rows=[
                ExamRow(
                    animal=intake.animal,
                    at=arrived_at,
                    examined_by=row.exam.examined_by,
                    parts=row.exam.parts,
                    note=row.exam.note,
                    intake=intake,
                )
                for _, row, intake in exams
                if row.exam is not None
            ],
            by=by,
            recorded_at=at,
        )
    return [*problems, *wrong]


def _one(
    line: int,
    row: IntakeRow,
    animal: Animal,
    *,
    arrived_at: datetime,
    by: User | None,
    at: datetime,
) -> Iterator[Problem]:
    chip = chip_given(row)
    if row.again is not None and chip and not animal.microchip:
        try:
            correct_animal(
                animal=animal,
                by=by,
                at=at,
                reason="The chip was read as it came again.",
                microchip=chip,
            )
        except DomainError as refusal:
            yield _problem(line, "microchip", refusal)
    if row.enclosure is not None:
        try:
            record_move(
                animal=animal,
                to=row.enclosure,
                moved_at=arrived_at,
                by=by,
                at=at,
                reason="came in",
            )
        except DomainError as refusal:
            yield _problem(line, "enclosure", refusal)
    if row.mass_g is not None:
        try:
            _weigh(row, animal, arrived_at, by, at)
        except DomainError as refusal:
            yield _problem(line, "mass_g", refusal)


def _weigh(
    row: IntakeRow,
    animal: Animal,
    arrived_at: datetime,
    by: User | None,
    at: datetime,
) -> None:
    if row.mass_g is None:
        return
    if row.mass_reason.strip():
        confirm_weighing(
            animal=animal,
            mass_g=row.mass_g,
            at=arrived_at,
            by=by,
            recorded_at=at,
            reason=row.mass_reason.strip(),
        )
    else:
        record_weighing(
            animal=animal, mass_g=row.mass_g, at=arrived_at, by=by, recorded_at=at
        )


def _signs(
    lines: Sequence[Line], *, arrived_at: datetime, by: User | None, at: datetime
) -> Iterator[Problem]:
    seen = [
        (line, intake.animal.code, sign)
        for line, (row, intake) in enumerate(lines)
        for sign in row.signs
    ]
    results = record_observations(
        rows=[
            ObservationRow(
                animal=code,
                at=arrived_at,
                kind=ObservationKind.SIGN,
                sign=sign,
                observed=Observed.PRESENT,
                note="Seen as it came in.",
            )
            for _, code, sign in seen
        ],
        by=by,
        recorded_at=at,
    )
    for (line, _, _), result in zip(seen, results, strict=True):
        if result.outcome is RowOutcome.REFUSED:
            accepted = next((text for _, text in result.fields), "")
            yield Problem(line, "signs", result.sentence, accepted)


def _wrong_exams(exams: Sequence[tuple[int, IntakeRow, Intake]]) -> Iterator[Problem]:
    for line, row, _ in exams:
        if row.exam is None:
            continue
        try:
            check_exam(examined_by=row.exam.examined_by, parts=row.exam.parts)
        except ExamError as refusal:
            yield _problem(line, "exam", refusal)


def _problem(line: int, field: str, refusal: DomainError) -> Problem:
    accepted = next(iter(refusal.fields.values()), "")
    return Problem(line, field, refusal.sentence, accepted)
