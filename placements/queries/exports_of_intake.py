"""What placements exports of how animals came, of quarantine, and of papers."""

from core.exports.tables import FEW, Table
from core.roles import Permission
from placements.models import (
    AnimalPaper,
    Arrival,
    Clearance,
    Exam,
    ExamLine,
    HoldPolicy,
    Intake,
    IntakePhoto,
    QuarantinePolicy,
)

SEE_ANIMALS = Permission.SEE_ANIMALS
SEE_HOMES = Permission.SEE_HOMES
RECORD_INTAKE = Permission.RECORD_INTAKE
_RECORDED = ("recorded_by__username", "recorded_at")

INTAKE_TABLES = (
    Table(
        name="arrivals",
        rows=Arrival,
        columns=(
            *("id", "site__code", "source", "home_id", "found_at", "arrived_at"),
            *("hold_until", "hold_reason", "came_with", "note", *_RECORDED),
        ),
        needs=RECORD_INTAKE,
        of_animal=("intakes__animal",),
        guarded={"home_id": SEE_HOMES, "found_at": SEE_HOMES, "note": SEE_HOMES},
    ),
    Table(
        name="intakes",
        rows=Intake,
        columns=(
            *("id", "arrival_id", "animal_id", "animal__code", "returns_id"),
            *("species_told", "species_sure", "condition", "chip_scan"),
            *("came_with", "note", "hold_ended_on", "hold_ended_by__username"),
            "hold_ended_reason",
        ),
        needs=RECORD_INTAKE,
        of_animal=("animal",),
        guarded={"returns_id": Permission.SEE_PLACEMENTS},
    ),
    Table(
        name="intake_photos",
        rows=IntakePhoto,
        columns=("id", "intake_id", "photo", "caption", *_RECORDED),
        needs=RECORD_INTAKE,
        of_animal=("intake__animal",),
        file="photo",
    ),
    Table(
        name="exams",
        rows=Exam,
        columns=(
            *("id", "animal_id", "animal__code", "intake_id", "at", "examined_by"),
            *("note", *_RECORDED),
        ),
        needs=SEE_ANIMALS,
        of_animal=("animal",),
    ),
    Table(
        name="exam_lines",
        rows=ExamLine,
        columns=("id", "exam_id", "system", "outcome", "note"),
        needs=SEE_ANIMALS,
        of_animal=("exam__animal",),
    ),
    Table(
        name="hold_policies",
        rows=HoldPolicy,
        columns=("id", "source", "days", "reason", "made_by__username", "made_at"),
        needs=SEE_ANIMALS,
    ),
    Table(
        name="quarantine_policies",
        rows=QuarantinePolicy,
        columns=(
            *("id", "species__code", "needed", "group", "days", "tests"),
            *("test_kind", "tests_apart_days", "weight_days", "most_loss_pct"),
            *("reason", "made_by__username", "made_at"),
        ),
        needs=SEE_ANIMALS,
    ),
    Table(
        name="clearances",
        rows=Clearance,
        columns=(
            *("id", "quarantine_id", "quarantine__animal__code", "on", "criteria"),
            *("despite", "cleared_by__username", "cleared_at"),
        ),
        needs=SEE_ANIMALS,
        of_animal=("quarantine__animal",),
        chunk_rows=10 * FEW,
    ),
    Table(
        name="papers",
        rows=AnimalPaper,
        columns=(
            *("id", "kind", "animal_id", "animal__code", "species__code", "number"),
            *("cites_source", "issued_by", "issued_on", "valid_until", "photo"),
            *("note", *_RECORDED, "withdrawn_at", "withdrawn_by__username"),
            "withdrawn_reason",
        ),
        needs=SEE_ANIMALS,
        of_animal=("animal",),
        # Names and addresses are printed on papers.
        guarded={"note": SEE_HOMES},
        file="photo",
        file_needs=SEE_HOMES,
    ),
)
