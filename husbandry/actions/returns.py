"""Take animals into care again that had left, or ancestors that came at last."""

from datetime import date, datetime

from django.db import transaction

from core import audit
from core.constraints import promised
from core.models import User
from core.zones import day_bounds
from husbandry.actions.animal_records import FURTHEST_ZONE
from husbandry.actions.staleness import mark_animal_stale
from husbandry.models import Animal, EarlierCare
from husbandry.queries.stays import zone_of
from husbandry.rules.animals import check_dates
from husbandry.rules.returns import ReturnError, check_return
from husbandry.rules.vocabulary import AnimalStatus, DatePrecision

_CARE = ("status", "arrived_on", "left_on")


@transaction.atomic
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
    animal = Animal.objects.select_for_update().get(pk=animal.pk)
    status, left_on = AnimalStatus(animal.status), animal.left_on
    today = (at + FURTHEST_ZONE).date()
    check_return(
        label=str(animal),
        status=status,
        left_on=left_on,
        arrived_on=arrived_on,
        today=today,
    )
    check_dates(
        arrived_on=arrived_on,
        hatched_on=animal.hatched_on,
        precision=DatePrecision(animal.hatched_precision),
        today=today,
    )
    before = audit.values(animal, *_CARE)
    if status is not AnimalStatus.ELSEWHERE and left_on is not None:
        _keep(animal, left_on)
    animal.status = AnimalStatus.IN_CARE.value
    animal.arrived_on, animal.left_on = arrived_on, None
    animal.save(update_fields=_CARE)
    start_s, _ = day_bounds(arrived_on, zone=zone_of(animal=animal, at=at))
    since_at = datetime.fromtimestamp(start_s, at.tzinfo)
    mark_animal_stale(animal=animal, since_at=since_at, at=at)
    audit.record(
        animal,
        verb="take_back",
        by=by,
        at=at,
        before=before,
        after=audit.values(animal, *_CARE),
    )
    return animal


def _keep(animal: Animal, left_on: date) -> None:
    again = ReturnError(
        f"{animal} came, left and came again on {animal.arrived_on:%d %b %Y} already; "
        "a third time on the same day cannot be told apart. Give the next day.",
        fields={"arrived_on": "another day"},
    )
    with promised(
        {
            "husbandry_earliercare_once": again,
            "husbandry_earliercare.animal_id": again,
        }
    ):
        EarlierCare.objects.create(
            animal=animal,
            arrived_on=animal.arrived_on,
            left_on=left_on,
            status=animal.status,
        )
