"""What clutches exports, table by table."""

from clutches.models import (
    BoxCheck,
    BoxStay,
    CandidateSire,
    Clutch,
    Egg,
    EggBox,
    EggCheck,
    EggPlace,
    Forecast,
    Hatchling,
    IncubationPhase,
    IncubationPlan,
    IncubatorDay,
    Introduction,
    Pairing,
    SexingPolicy,
    SpurCheck,
)
from core.exports.tables import Table
from core.roles import Permission
from husbandry.queries.exports_of_care import RECORDED

NEEDS = Permission.SEE_ANIMALS
OF_EGG = ("egg__hatchling__animal",)

_BRED = (
    Table(
        name="pairings",
        rows=Pairing,
        columns=(
            *("id", "dam_id", "dam__code", "sire_id", "sire__code", "planned_on"),
            *("reason", "ended_on", "created_by__username", "created_at"),
        ),
        needs=NEEDS,
        of_animal=("dam", "sire"),
    ),
    Table(
        name="introductions",
        rows=Introduction,
        columns=("id", "pairing_id", "at", "minutes", "outcome", *RECORDED),
        needs=NEEDS,
        of_animal=("pairing__dam", "pairing__sire"),
    ),
    Table(
        name="clutches",
        rows=Clutch,
        columns=(
            *("id", "code", "species__code", "site__code", "dam_id", "dam__code"),
            *("pairing_id", "kind", "laid_on", "eggs_set", "eggs_infertile"),
            *("eggs_broken", "born_alive", "born_dead", "mass_g", "plan_id"),
            *("plan__code", "note", "recorded_by__username", "recorded_at"),
        ),
        needs=NEEDS,
        of_animal=("dam", "hatchlings__animal"),
    ),
    Table(
        name="candidate_sires",
        rows=CandidateSire,
        columns=(
            *("id", "clutch_id", "clutch__code", "animal_id", "animal__code"),
            *("sire_id", "sire__code", "probability", "basis"),
        ),
        needs=NEEDS,
        of_animal=("animal", "sire", "clutch__dam", "clutch__hatchlings__animal"),
    ),
    Table(
        name="hatchlings",
        rows=Hatchling,
        columns=(
            *("id", "animal_id", "animal__code", "clutch_id", "clutch__code"),
            *("egg_id", "egg__number"),
        ),
        needs=NEEDS,
        of_animal=("animal",),
    ),
    Table(
        name="spur_checks",
        rows=SpurCheck,
        columns=(
            *("id", "animal_id", "animal__code", "at", "left", "right"),
            *("looked_by__username", "photo", *RECORDED),
        ),
        needs=NEEDS,
        of_animal=("animal",),
        file="photo",
    ),
    Table(
        name="sexing_policies",
        rows=SexingPolicy,
        columns=(
            *("id", "second_look", "from_on", "reason", "decided_by__username"),
            "decided_at",
        ),
        needs=NEEDS,
    ),
)
_INCUBATED = (
    Table(
        name="incubation_plans",
        rows=IncubationPlan,
        columns=("id", "code", "name", "species__code", "note", "retired_on"),
        needs=NEEDS,
    ),
    Table(
        name="incubation_phases",
        rows=IncubationPhase,
        columns=(
            *("id", "plan_id", "plan__code", "position", "kind", "days"),
            *("day_low_c", "day_high_c", "night_low_c", "night_high_c"),
        ),
        needs=NEEDS,
    ),
    Table(
        name="egg_boxes",
        rows=EggBox,
        columns=(
            *("id", "code", "rows", "columns", "substrate", "substrate_g"),
            *("water_g", "made_on", "retired_on", "note"),
        ),
        needs=NEEDS,
    ),
    Table(
        name="box_stays",
        rows=BoxStay,
        columns=(
            *("id", "box_id", "box__code", "incubator_id", "incubator__code"),
            *("from_at", "until_at", "moved_by__username", "reason"),
        ),
        needs=NEEDS,
    ),
    Table(
        name="box_checks",
        rows=BoxCheck,
        columns=("id", "box_id", "box__code", "at", "mass_g", "water_g", *RECORDED),
        needs=NEEDS,
    ),
    Table(
        name="eggs",
        rows=Egg,
        columns=(
            *("id", "clutch_id", "clutch__code", "number", "state", "pipped_on"),
            *("ended_on", "cause", "note"),
        ),
        needs=NEEDS,
        of_animal=("hatchling__animal", "clutch__dam"),
    ),
    Table(
        name="egg_places",
        rows=EggPlace,
        columns=(
            *("id", "egg_id", "box_id", "box__code", "row", "column", "from_at"),
            "until_at",
        ),
        needs=NEEDS,
        of_animal=OF_EGG,
    ),
    Table(
        name="egg_checks",
        rows=EggCheck,
        columns=("id", "egg_id", "at", "seen", "mass_g", *RECORDED),
        needs=NEEDS,
        of_animal=OF_EGG,
    ),
    Table(
        name="incubator_days",
        rows=IncubatorDay,
        columns=("probe_id", "probe__code", "on", "start_s", "hours_milli_c"),
        needs=Permission.SEE_CONDITIONS,
    ),
    Table(
        name="forecasts",
        rows=Forecast,
        columns=(
            *("id", "clutch_id", "clutch__code", "box_id", "box__code", "on"),
            *("basis", "earliest_on", "likely_on", "latest_on", "coverage"),
            *("development", "evidence"),
        ),
        needs=NEEDS,
    ),
)
TABLES = (*_BRED, *_INCUBATED)
