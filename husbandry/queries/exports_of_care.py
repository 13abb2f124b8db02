"""What husbandry exports of daily care and of health."""

from core.exports.tables import Table
from core.roles import Permission
from husbandry.models import (
    Chore,
    Death,
    Dose,
    Feeding,
    FeedingOrder,
    HealthTest,
    Lamp,
    LampCheck,
    Measuring,
    Observation,
    Prescription,
)

NEEDS = Permission.SEE_ANIMALS
OF_ANIMAL = ("animal",)
ANIMAL = ("id", "animal_id", "animal__code")
RECORDED = (
    *("note", "recorded_by__username", "recorded_at", "corrects_id", "struck_at"),
    *("struck_by__username", "struck_reason"),
)
"""What every record of care has after its own columns."""

_DAILY = (
    Table(
        name="feedings",
        rows=Feeding,
        columns=(
            *(*ANIMAL, "at", "feeder", "offered", "eaten", "supplements"),
            *("assisted", *RECORDED),
        ),
        needs=NEEDS,
        of_animal=OF_ANIMAL,
    ),
    Table(
        name="feeding_orders",
        rows=FeedingOrder,
        columns=(
            *(*ANIMAL, "kind", "from_on", "until_on", "every_days", "portion"),
            *("unit", "reason", "made_by__username", "made_at", "withdrawn_at"),
        ),
        needs=NEEDS,
        of_animal=OF_ANIMAL,
    ),
    Table(
        name="observations",
        rows=Observation,
        columns=(
            *(*ANIMAL, "at", "kind", "sign", "observed", "urates", "eggs"),
            *("look_again_on", *RECORDED),
        ),
        needs=NEEDS,
        of_animal=OF_ANIMAL,
    ),
    Table(
        name="measurings",
        rows=Measuring,
        columns=(*ANIMAL, "at", "snout_vent_cm", "total_cm", *RECORDED),
        needs=NEEDS,
        of_animal=OF_ANIMAL,
    ),
)
_HEALTH = (
    Table(
        name="prescriptions",
        rows=Prescription,
        columns=(
            *(*ANIMAL, "drug", "dose_per_kg", "dose_unit"),
            *("concentration_mg_per_ml", "route", "every_hours", "first_at"),
            *("until_on", "smallest_step_ml", "reason", "vet", "prescribed_on"),
            *("recorded_by__username", "recorded_at", "stopped_at"),
            *("stopped_by__username", "stopped_reason"),
        ),
        needs=NEEDS,
        of_animal=OF_ANIMAL,
    ),
    Table(
        name="doses",
        rows=Dose,
        columns=(
            *("id", "prescription_id", "prescription__animal__code", "at"),
            *("due_at", "outcome", "volume_ml", "computed_ml", "weighing_id"),
            *RECORDED,
        ),
        needs=NEEDS,
        of_animal=("prescription__animal",),
    ),
    Table(
        name="health_tests",
        rows=HealthTest,
        columns=(
            *(*ANIMAL, "kind", "taken_on", "laboratory", "expected_on", "result"),
            *("result_on", "finding", "seen_by_vet_on", "recorded_by__username"),
            "recorded_at",
        ),
        needs=NEEDS,
        of_animal=OF_ANIMAL,
    ),
    Table(
        name="deaths",
        rows=Death,
        columns=(
            *(*ANIMAL, "on", "circumstances", "euthanised_by", "necropsy_on"),
            *("necropsy_by", "necropsy", "recorded_by__username", "recorded_at"),
        ),
        needs=NEEDS,
        of_animal=OF_ANIMAL,
    ),
)
_UPKEEP = (
    Table(
        name="chores",
        rows=Chore,
        columns=(
            *("id", "at", "kind", "enclosure_id", "enclosure__code", "room_id"),
            *("room__code", "feeder", *RECORDED),
        ),
        needs=NEEDS,
    ),
    Table(
        name="lamps",
        rows=Lamp,
        columns=(
            *("id", "enclosure_id", "enclosure__code", "kind", "label"),
            *("fitted_on", "removed_on"),
        ),
        needs=NEEDS,
        of_animal=("enclosure__stays__animal",),
    ),
    Table(
        name="lamp_checks",
        rows=LampCheck,
        columns=("id", "lamp_id", "at", "uv_index", "distance_cm", *RECORDED),
        needs=NEEDS,
        of_animal=("lamp__enclosure__stays__animal",),
    ),
)
CARE_TABLES = (*_DAILY, *_HEALTH, *_UPKEEP)
