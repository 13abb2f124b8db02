"""What placements exports of homes and placements, table by table.

What tells of people asks for the permission to see homes, in every column.
"""

from collections.abc import Mapping

from django.db.models import Model

from core.exports.tables import FEW, Table
from core.roles import Permission
from placements.models import (
    Application,
    ApplicationCheck,
    FollowUp,
    GateOpening,
    Home,
    HomeEnclosure,
    HomeReading,
    HomeReport,
    Packet,
    PacketJob,
    PersonalDataPolicy,
    Placement,
    PlacementPolicy,
    PrivateAddress,
    ReadinessReview,
    RegisterEntry,
    TreatmentHandover,
)
from placements.queries.exports_of_intake import INTAKE_TABLES

SEE_PLACEMENTS = Permission.SEE_PLACEMENTS
SEE_HOMES = Permission.SEE_HOMES
PLACED = ("placement__animal",)
PLACEMENT = ("id", "placement_id", "placement__animal__code")

_HOMES = (
    Table(
        name="homes",
        rows=Home,
        columns=(
            *("id", "name", "kind", "contact", "email", "notes", "units", "paper"),
            *("language", "keep_until", "erased_at", "erased_by__username"),
            "created_at",
        ),
        needs=SEE_HOMES,
    ),
    Table(
        name="applications",
        rows=Application,
        columns=(
            *("id", "home_id", "species__code", "animal_id", "animal__code", "kind"),
            *("state", "received_at", "recorded_by__username", "question_set"),
            *("answers", "decided_at", "decided_by__username", "told"),
            "waiting_since",
        ),
        needs=SEE_HOMES,
        of_animal=("animal", "placements__animal"),
        chunk_rows=10 * FEW,
    ),
    Table(
        name="application_checks",
        rows=ApplicationCheck,
        columns=(
            *("id", "application_id", "kind", "outcome", "note"),
            *("recorded_by__username", "recorded_at"),
        ),
        needs=SEE_HOMES,
        of_animal=("application__animal",),
    ),
    Table(
        name="home_enclosures",
        rows=HomeEnclosure,
        columns=(
            *("id", "home_id", "label", "kind", "width_cm", "depth_cm", "height_cm"),
            *("time_zone", "lights_on", "lights_off", "uvb_lamp", "uvb_percent"),
            *("uvb_distance_cm", "uvb_through_screen", "laying_bin"),
            *("other_animals", "sees_others", "note", "recorded_at"),
            "recorded_by__username",
        ),
        needs=SEE_HOMES,
    ),
    Table(
        name="home_readings",
        rows=HomeReading,
        columns=(
            *("id", "enclosure_id", "zone", "quantity", "at", "value_milli"),
            *("file_name", "recorded_at"),
        ),
        needs=SEE_HOMES,
        chunk_rows=10_000,
    ),
    Table(
        name="personal_data_policies",
        rows=PersonalDataPolicy,
        columns=(
            *("id", "months_after_decline", "months_after_last_placement"),
            *("reason", "made_by__username", "made_at"),
        ),
        needs=SEE_HOMES,
    ),
)
_PLACED = (
    Table(
        name="placements",
        rows=Placement,
        columns=(
            *("id", "animal_id", "animal__code", "home_id", "application_id"),
            *("home_enclosure_id", "follows_id", "kind", "state", "planned_on"),
            *("handed_over_on", "due_back_on", "release_place", "ended_on"),
            *("ended_reason", "created_by__username", "created_at"),
        ),
        needs=SEE_PLACEMENTS,
        of_animal=("animal",),
        guarded={
            "home_id": SEE_HOMES,
            "application_id": SEE_HOMES,
            "home_enclosure_id": SEE_HOMES,
            "ended_reason": SEE_HOMES,
        },
    ),
    Table(
        name="gate_openings",
        rows=GateOpening,
        columns=(
            *(*PLACEMENT, "gate", "why_shut", "reason", "opened_by__username"),
            *("opened_at", "shut_again_at", "shut_again_by__username"),
        ),
        needs=SEE_PLACEMENTS,
        of_animal=PLACED,
    ),
    Table(
        name="treatment_handovers",
        rows=TreatmentHandover,
        columns=(
            *(*PLACEMENT, "prescription_id", "plan", "handed_over_by__username"),
            "handed_over_at",
        ),
        needs=SEE_PLACEMENTS,
        of_animal=PLACED,
    ),
    Table(
        name="packets",
        rows=Packet,
        columns=(
            *(*PLACEMENT, "number", "version", "snapshot", "sha256"),
            *("made_by__username", "made_at"),
        ),
        needs=SEE_PLACEMENTS,
        of_animal=PLACED,
        chunk_rows=FEW,
    ),
    Table(
        name="packet_jobs",
        rows=PacketJob,
        columns=(
            *(*PLACEMENT, "batch", "state", "asked_by__username", "asked_at"),
            *("started_at", "finished_at", "tries", "packet_id", "file", "problem"),
        ),
        needs=SEE_PLACEMENTS,
        of_animal=PLACED,
        file="file",
    ),
    Table(
        name="placement_policies",
        rows=PlacementPolicy,
        columns=(
            *("id", "species__code", "kind", "least_age_days", "least_mass_g"),
            *("sex", "papers", "application", "home_ready", "reason"),
            *("made_by__username", "made_at"),
        ),
        needs=SEE_PLACEMENTS,
    ),
)
_AFTERWARDS = (
    Table(
        name="readiness_reviews",
        rows=ReadinessReview,
        columns=(
            *("id", "enclosure_id", "animal_id", "animal__code", "species__code"),
            *("sex", "on", "outcome", "result", "judged_by__username", "judged_at"),
        ),
        needs=SEE_PLACEMENTS,
        of_animal=("animal",),
        chunk_rows=10 * FEW,
    ),
    Table(
        name="follow_ups",
        rows=FollowUp,
        columns=(
            *(*PLACEMENT, "kind", "due_on", "answered_at", "answers"),
            *("recorded_by__username", "dropped_at", "dropped_reason"),
        ),
        needs=SEE_PLACEMENTS,
        of_animal=PLACED,
        guarded={"answers": SEE_HOMES, "dropped_reason": SEE_HOMES},
    ),
    Table(
        name="home_reports",
        rows=HomeReport,
        columns=(
            *(*PLACEMENT, "kind", "on", "mass_g", "eggs", "note", "received_at"),
            *("recorded_by__username", "seen_at", "seen_by__username"),
        ),
        needs=SEE_PLACEMENTS,
        of_animal=PLACED,
        guarded={"note": SEE_HOMES},
    ),
    Table(
        name="register_entries",
        rows=RegisterEntry,
        columns=(
            *("id", "number", "on", "direction", "how", "animal_id", "animal_code"),
            *("scientific_name", "home_id", "arrival_id", "placement_id", "facts"),
            *("corrects_id", "note", "entered_at", "entered_by__username"),
        ),
        needs=Permission.SEE_REGISTER,
        of_animal=("animal",),
        guarded={"home_id": SEE_HOMES, "note": SEE_HOMES},
    ),
)
TABLES = (*INTAKE_TABLES, *_HOMES, *_PLACED, *_AFTERWARDS)
NOT_EXPORTED: Mapping[type[Model], str] = {
    PrivateAddress: "A key: the new house sends its own addresses.",
}
