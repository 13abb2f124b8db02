"""Take animals into care again that had left, or ancestors that came at last."""

from collections.abc import Sequence
from datetime import UTC, date, datetime

from django.db import transaction

from core import audit
from core.constraints import promised
from core.models import User
from core.zones import day_bounds
from husbandry.actions.animal_records import FURTHEST_ZONE
from husbandry.actions.staleness import mark_animals_stale
from husbandry.models import Animal, EarlierCare
from husbandry.queries.whereabouts import whereabouts
from husbandry.rules.animals import check_dates
from husbandry.rules.returns import ReturnError, check_return
from husbandry.rules.vocabulary import AnimalStatus, DatePrecision

VERB = "take_back"
_CARE = ("status", "arrived_on", "left_on")


def take_back(
    *, animal: Animal, arrived_on: date, by: User | None, at: datetime
) -> Animal:
    """Take an animal into care that had left, or that was an ancestor only.

    The time in care that was over stays on record, so that its nights are judged as
    they were; the days away are judged by nobody. It has no enclosure yet. Reviews of
    nights since are marked stale.

    Args:
        animal: placed, released, lost, or on record as an ancestor.
        arrived_on: the local day on which it came; not to come, and not before it
            left. It may come again on the day on which it left.
        by: the person.
        at: now.

    Returns:
        The animal, in care.

    Raises:
        ReturnError: it is in care or dead, or the day cannot be.
        AnimalError: it hatched after that day.
    """
    return take_back_all(animals=[animal], arrived_on=arrived_on, by=by, at=at)[0]


@transaction.atomic
def take_back_all(
    *, animals: Sequence[Animal], arrived_on: date, by: User | None, at: datetime
) -> list[Animal]:
    """Take animals into care that came on the same day, all or none; see the above.

    Args:
        animals: each once; none does nothing. As many queries for one as for many.
        arrived_on: the local day on which they came.
        by: the person.
        at: now.

    Returns:
        The animals, in the order given.

    Raises:
        ReturnError: one of them cannot have come; see `take_back`.
        AnimalError: one of them hatched after that day.
    """
    keys = [animal.pk for animal in animals]
    locked = Animal.objects.select_for_update().order_by("pk").in_bulk(keys)
    coming = [locked[key] for key in keys]
    today = (at + FURTHEST_ZONE).astimezone(UTC).date()
    for animal in coming:
        _check(animal, arrived_on=arrived_on, today=today)
    before = {animal.pk: audit.values(animal, *_CARE) for animal in coming}
    _keep_earlier(coming)
    for animal in coming:
        animal.status = AnimalStatus.IN_CARE.value
        animal.arrived_on, animal.left_on = arrived_on, None
    Animal.objects.bulk_update(coming, _CARE)
    _mark_stale(coming, arrived_on=arrived_on, at=at)
    audit.record_all(
        [
            audit.Deed(a, VERB, before=before[a.pk], after=audit.values(a, *_CARE))
            for a in coming
        ],
        by=by,
        at=at,
    )
    return coming


def _check(animal: Animal, *, arrived_on: date, today: date) -> None:
    check_return(
        label=str(animal),
        status=AnimalStatus(animal.status),
        left_on=animal.left_on,
        arrived_on=arrived_on,
        today=today,
    )
    check_dates(
        arrived_on=arrived_on,
        hatched_on=animal.hatched_on,
        precision=DatePrecision(animal.hatched_precision),
        today=today,
    )


def _keep_earlier(animals: Sequence[Animal]) -> None:
    again = ReturnError(
        "One of these animals came, left and came again on one day already; a third "
        "time on the same day cannot be told apart. Give the next day.",
        fields={"arrived_on": "another day"},
    )
    with promised(
        {
            "husbandry_earliercare_once": again,
            "husbandry_earliercare.animal_id": again,
        }
    ):
        EarlierCare.objects.bulk_create(
            EarlierCare(
                animal=animal,
                arrived_on=animal.arrived_on,
                left_on=animal.left_on,
                status=animal.status,
            )
            for animal in animals
            if animal.status != AnimalStatus.ELSEWHERE and animal.left_on is not None
        )


def _mark_stale(animals: Sequence[Animal], *, arrived_on: date, at: datetime) -> None:
    known = whereabouts(animal_ids=[animal.pk for animal in animals])
    since_at = {}
    for animal in animals:
        start_s, _ = day_bounds(arrived_on, zone=known.zone_at(animal.pk, at=at))
        since_at[animal.pk] = datetime.fromtimestamp(start_s, UTC)
    if since_at:
        mark_animals_stale(since_at=since_at, at=at)
