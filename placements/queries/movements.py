"""What is on record of animals' comings and goings, for the register and figures."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import F, Model, QuerySet

from clutches.models import Hatchling
from husbandry.models import Animal, Death, EarlierCare
from husbandry.rules.vocabulary import AnimalStatus, DatePrecision, Origin
from placements.models import Intake, Placement
from placements.rules.register.facts import (
    AnimalRecord,
    CareTime,
    IntakeFact,
    PlacementFact,
)
from placements.rules.vocabulary import (
    IntakeCondition,
    IntakeSource,
    PlacementKind,
    PlacementState,
)

# Or None: of all animals. A list of keys may be longer than SQLite takes, so of many
# animals all are asked for.
Ids = Collection[int] | None


def animal_records(*, animal_ids: Ids = None) -> tuple[AnimalRecord, ...]:
    """Return what is on record of animals' comings and goings, by code; six queries.

    Args:
        animal_ids: of which; None: of all.
    """
    earlier = _earlier(animal_ids)
    intakes = _intakes(animal_ids)
    placements = _placements(animal_ids)
    hatched = set(_of(Hatchling, animal_ids).values_list("animal_id", flat=True))
    asleep = set(
        _of(Death, animal_ids)
        .exclude(euthanised_by="")
        .values_list("animal_id", flat=True)
    )
    rows = Animal.objects.all() if animal_ids is None else _these(animal_ids)
    columns = (
        *("pk", "code", "species__code", "species__scientific_name", "origin"),
        *("hatched_on", "hatched_precision", "arrived_on", "left_on", "status"),
    )
    return tuple(
        AnimalRecord(
            id=row["pk"],
            code=row["code"],
            species=row["species__code"],
            scientific_name=row["species__scientific_name"],
            born_here=row["pk"] in hatched or _born_here(row),
            times=(*earlier[row["pk"]], *_own_time(row)),
            intakes=tuple(intakes[row["pk"]]),
            placements=tuple(placements[row["pk"]]),
            put_to_sleep=row["pk"] in asleep,
        )
        for row in rows.order_by("code").values(*columns)
    )


def _these(animal_ids: Collection[int]) -> QuerySet[Animal]:
    return Animal.objects.filter(pk__in=animal_ids)


def _of(model: type[Model], animal_ids: Ids) -> QuerySet[Any]:
    rows: QuerySet[Any] = model._default_manager.all()  # noqa: SLF001 - Django's public API
    return rows if animal_ids is None else rows.filter(animal__in=animal_ids)


def _born_here(row: Mapping[str, Any]) -> bool:
    """Say whether it came by hatching here, also where no clutch is on record."""
    exact = row["hatched_precision"] == DatePrecision.DAY
    on_its_day = exact and row["hatched_on"] == row["arrived_on"]
    return bool(row["origin"] == Origin.BORN_HERE and on_its_day)


def _own_time(row: Mapping[str, Any]) -> tuple[CareTime, ...]:
    status = AnimalStatus(row["status"])
    if status is AnimalStatus.ELSEWHERE:
        return ()
    return (CareTime(row["arrived_on"], row["left_on"], status),)


def _earlier(animal_ids: Ids) -> Mapping[int, list[CareTime]]:
    found: dict[int, list[CareTime]] = defaultdict(list)
    rows = _of(EarlierCare, animal_ids).order_by("animal", "arrived_on", "left_on")
    for animal, arrived_on, left_on, status in rows.values_list(
        "animal_id", "arrived_on", "left_on", "status"
    ):
        found[animal].append(CareTime(arrived_on, left_on, AnimalStatus(status)))
    return found


def _intakes(animal_ids: Ids) -> Mapping[int, list[IntakeFact]]:
    found: dict[int, list[IntakeFact]] = defaultdict(list)
    rows = _of(Intake, animal_ids).order_by("arrival__arrived_at", "pk")
    for row in rows.values(
        *("animal_id", "arrival_id", "returns_id", "condition"),
        at=F("arrival__arrived_at"),
        zone=F("arrival__site__time_zone"),
        source=F("arrival__source"),
        home=F("arrival__home_id"),
    ):
        found[row["animal_id"]].append(
            IntakeFact(
                arrival=row["arrival_id"],
                on=row["at"].astimezone(ZoneInfo(row["zone"])).date(),
                source=IntakeSource(row["source"]),
                home=row["home"],
                returns=row["returns_id"],
                condition=IntakeCondition(row["condition"]),
            )
        )
    return found


def _placements(animal_ids: Ids) -> Mapping[int, list[PlacementFact]]:
    found: dict[int, list[PlacementFact]] = defaultdict(list)
    rows = _of(Placement, animal_ids).filter(handed_over_on__isnull=False)
    for row in rows.order_by("handed_over_on", "pk").values(
        *("pk", "animal_id", "kind", "state", "created_at", "handed_over_on"),
        *("ended_on", "home_id", "follows_id"),
    ):
        planned_at: datetime = row["created_at"]
        found[row["animal_id"]].append(
            PlacementFact(
                id=row["pk"],
                kind=PlacementKind(row["kind"]),
                state=PlacementState(row["state"]),
                planned_on=planned_at.astimezone(UTC).date(),
                handed_over_on=row["handed_over_on"],
                ended_on=row["ended_on"],
                home=row["home_id"],
                follows=row["follows_id"],
            )
        )
    return found
