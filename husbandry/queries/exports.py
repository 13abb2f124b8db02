"""What husbandry exports, table by table; readings have a file of their own."""

from collections.abc import Mapping

from django.db.models import Model

from core.exports.tables import FEW, Table
from core.roles import Permission
from husbandry.models import (
    Acknowledgement,
    Animal,
    CareProfile,
    Conditions,
    Device,
    DeviceProbe,
    EarlierCare,
    Enclosure,
    Finding,
    LoggerMapping,
    Probe,
    Quarantine,
    ReadingImport,
    ReproductiveSpell,
    ReviewPolicy,
    ReviewRun,
    Setup,
    Sighting,
    SightLine,
    Species,
    Stay,
    TargetOverride,
    UnclaimedBatch,
    UnclaimedReadings,
    Weighing,
)
from husbandry.queries.exports_of_care import CARE_TABLES

SEE_ANIMALS = Permission.SEE_ANIMALS
SEE_CONDITIONS = Permission.SEE_CONDITIONS
SEE_FINDINGS = Permission.SEE_FINDINGS
OF_ANIMAL = ("animal",)
ANIMAL = ("id", "animal_id", "animal__code")
LIVED_THERE = ("enclosure__stays__animal",)

WEIGHINGS = Table(
    name="weighings",
    rows=Weighing,
    columns=(
        *(*ANIMAL, "at", "mass_g", "recorded_by__username", "recorded_at"),
        *("corrects_id", "note"),
    ),
    needs=SEE_ANIMALS,
    of_animal=OF_ANIMAL,
    chunk_rows=10_000,
)
ANIMALS = Table(
    name="animals",
    rows=Animal,
    columns=(
        *("id", "code", "name", "species__code", "sex", "sex_basis"),
        *("sex_confidence", "hatched_on", "hatched_precision", "dam_id"),
        *("dam__code", "sire_id", "sire__code", "origin", "origin_note"),
        *("arrived_on", "status", "left_on", "microchip", "notes"),
    ),
    needs=SEE_ANIMALS,
    of_animal=("pk",),
    # It may say from whom an animal came.
    guarded={"origin_note": Permission.SEE_HOMES},
)
_SPECIES = (
    Table(
        name="species",
        rows=Species,
        columns=(
            *("id", "code", "common_name", "scientific_name", "notes", "native_here"),
        ),
        needs=SEE_ANIMALS,
        of_animal=("animals",),
    ),
    Table(
        name="care_profiles",
        rows=CareProfile,
        columns=(
            *("id", "species__code", "version", "effective_on", "source_text"),
            *("sha256", "published_at", "published_by__username", "summary"),
        ),
        needs=SEE_ANIMALS,
        chunk_rows=FEW,
    ),
)
_ANIMALS = (
    ANIMALS,
    Table(
        name="earlier_care",
        rows=EarlierCare,
        columns=(*ANIMAL, "arrived_on", "left_on", "status"),
        needs=SEE_ANIMALS,
        of_animal=OF_ANIMAL,
    ),
    Table(
        name="quarantines",
        rows=Quarantine,
        columns=(
            *(*ANIMAL, "began_on", "group", "reason", "begun_by__username"),
            *("begun_at", "ended_on", "ended_by__username", "ended_at"),
        ),
        needs=SEE_ANIMALS,
        of_animal=OF_ANIMAL,
    ),
    Table(
        name="reproductive_spells",
        rows=ReproductiveSpell,
        columns=(*ANIMAL, "state", "from_on", "until_on", "basis"),
        needs=SEE_ANIMALS,
        of_animal=OF_ANIMAL,
    ),
    Table(
        name="target_overrides",
        rows=TargetOverride,
        columns=(
            *(*ANIMAL, "quantity", "zone", "period", "low", "high", "hard_low"),
            *("hard_high", "tolerated_minutes", "from_on", "until_on", "reason"),
            *("made_by__username", "made_at", "withdrawn_at"),
        ),
        needs=SEE_ANIMALS,
        of_animal=OF_ANIMAL,
    ),
    Table(
        name="stays",
        rows=Stay,
        columns=(
            *(*ANIMAL, "enclosure_id", "enclosure__code", "place", "from_at"),
            *("until_at", "moved_by__username", "reason"),
        ),
        needs=SEE_ANIMALS,
        of_animal=OF_ANIMAL,
    ),
    WEIGHINGS,
)
_PLACES = (
    Table(
        name="enclosures",
        rows=Enclosure,
        columns=(
            *("id", "code", "room_id", "room__code", "room__site__code", "position"),
            *("kind", "notes", "retired_on"),
        ),
        needs=SEE_ANIMALS,
        of_animal=("stays__animal",),
    ),
    Table(
        name="setups",
        rows=Setup,
        columns=(
            *("id", "enclosure_id", "enclosure__code", "from_on", "width_cm"),
            *("depth_cm", "height_cm", "lights", "lights_on", "lights_off"),
            *("laying_bin", "misting", "notes"),
        ),
        needs=SEE_ANIMALS,
        of_animal=LIVED_THERE,
    ),
    Table(
        name="sight_lines",
        rows=SightLine,
        columns=(
            *("id", "enclosure_id", "enclosure__code", "other_id", "other__code"),
            *("from_on", "until_on"),
        ),
        needs=SEE_ANIMALS,
    ),
    Table(
        name="probes",
        rows=Probe,
        columns=(
            *("id", "code", "enclosure_id", "enclosure__code", "zone"),
            *("measures_temperature", "measures_humidity", "measures_uv_index"),
            *("interval_s", "from_on", "retired_on"),
        ),
        needs=SEE_CONDITIONS,
        of_animal=LIVED_THERE,
    ),
)
_MEASURED = (
    Table(
        name="conditions",
        rows=Conditions,
        columns=(
            *("probe_id", "probe__code", "on", "period", "quantity", "band"),
            *("readings", "expected_s", "covered_s", "impossible_s", "mean"),
            *("lowest", "highest", "low", "high", "below_s", "above_s"),
            *("longest_below_s", "longest_above_s", "below_unit_minutes"),
            "above_unit_minutes",
        ),
        needs=SEE_CONDITIONS,
        chunk_rows=5_000,
    ),
    Table(
        name="logger_mappings",
        rows=LoggerMapping,
        columns=("id", "name", "document", "saved_by__username", "saved_at"),
        needs=SEE_CONDITIONS,
    ),
    Table(
        name="reading_imports",
        rows=ReadingImport,
        columns=(
            *("id", "file_name", "sha256", "imported_by__username", "imported_at"),
            *("accepted", "rows_read", "rows_stored", "rows_known", "rows_refused"),
            "report",
        ),
        needs=SEE_CONDITIONS,
        chunk_rows=FEW,
    ),
)
_SUBJECTS = (
    *("animal_id", "animal__code", "enclosure_id", "enclosure__code"),
    *("probe_id", "probe__code"),
)
_REVIEWED = (
    Table(
        name="review_policies",
        rows=ReviewPolicy,
        columns=(
            *("id", "site__code", "kind", "from_on", "switched_on", "urgency"),
            *("limits", "reason", "made_by__username", "made_at"),
        ),
        needs=SEE_FINDINGS,
    ),
    Table(
        name="review_runs",
        rows=ReviewRun,
        columns=(
            *("id", "site__code", "on", "state", "started_at", "finished_at"),
            *("started_by__username", "duration_ms", "animals", "probes"),
            *("readings", "coverage", "findings", "failures", "stale_since"),
        ),
        needs=SEE_FINDINGS,
        chunk_rows=FEW,
    ),
    Table(
        name="sightings",
        rows=Sighting,
        columns=(
            *("id", "site__code", "on", "key", "kind", "seen", "urgency"),
            *(*_SUBJECTS, "evidence"),
        ),
        needs=SEE_FINDINGS,
        of_animal=OF_ANIMAL,
    ),
    Table(
        name="findings",
        rows=Finding,
        columns=(
            *("id", "site__code", "key", "kind", *_SUBJECTS, "opened_on"),
            *("last_seen_on", "closed_on", "withdrawn_on", "nights_seen"),
            *("urgency", "evidence"),
        ),
        needs=SEE_FINDINGS,
        of_animal=OF_ANIMAL,
    ),
    Table(
        name="acknowledgements",
        rows=Acknowledgement,
        columns=(*("id", "finding_id", "by__username", "at", "note", "quiet_until"),),
        needs=SEE_FINDINGS,
        of_animal=("finding__animal",),
    ),
)
UNCLAIMED = Table(
    name="unclaimed_readings",
    rows=UnclaimedReadings,
    columns=(
        *("id", "code", "state", "readings", "first_at", "last_at", "arrived_at"),
        *("last_arrived_at", "sent_by__username", "sent_with", "probe_id"),
        *("settled_by__username", "settled_at", "reason", "report"),
    ),
    needs=SEE_CONDITIONS,
)
TABLES = (
    *(*_SPECIES, *_ANIMALS, *CARE_TABLES, *_PLACES, *_MEASURED, *_REVIEWED),
    UNCLAIMED,
)
NOT_EXPORTED: Mapping[type[Model], str] = {
    Device: "A key: whoever leaves makes new ones.",
    DeviceProbe: "Which key posts for which probe.",
    UnclaimedBatch: "Readings that belong to no probe yet; how many, the table of "
    "unclaimed readings says.",
}
