"""Plan placements, hand animals over, call plans off."""

from datetime import date, datetime

from django.db import IntegrityError, transaction

from core import audit
from core.errors import DomainError
from core.models import User
from husbandry.actions.animals import mark_left
from husbandry.models import Animal
from husbandry.rules.vocabulary import AnimalStatus
from placements.actions.states import check_state, move
from placements.models import Home, Placement
from placements.rules.vocabulary import PlacementKind, PlacementState


class NotInCareError(DomainError):
    """Only an animal that is in care can be placed."""

    code = "not_in_care"


class AlreadyPlannedError(DomainError):
    """An animal has one planned placement at a time."""

    code = "already_planned"


class NoPacketError(DomainError):
    """An animal leaves with a packet or not at all."""

    code = "no_packet"


@transaction.atomic
def plan_placement(
    *,
    animal: Animal,
    home: Home,
    kind: PlacementKind,
    planned_on: date,
    by: User | None,
    at: datetime,
) -> Placement:
    """Plan that an animal goes to a home on a day.

    Args:
        animal: in care, without another planned placement.
        home: where it goes.
        kind: in what way.
        planned_on: the day it is meant to leave, not before it arrived.
        by: the person.
        at: when.

    Raises:
        NotInCareError: the animal is not in care.
        AlreadyPlannedError: another placement of it is planned.
        DomainError: the day lies before its arrival.
    """
    _check_may_be_planned(animal, planned_on)
    try:
        with transaction.atomic():
            placement = Placement.objects.create(
                animal=animal,
                home=home,
                kind=kind.value,
                planned_on=planned_on,
                created_by=by,
                created_at=at,
            )
    except IntegrityError as error:
        raise AlreadyPlannedError(
            f"{animal} has a planned placement already. Hand it over or call it off "
            "first."
        ) from error
    after = audit.values(placement, "animal", "home", "kind", "planned_on")
    audit.record(placement, verb="plan_placement", by=by, at=at, after=after)
    return placement


def _check_may_be_planned(animal: Animal, planned_on: date) -> None:
    status = Animal.objects.values_list("status", flat=True).get(pk=animal.pk)
    if status != AnimalStatus.IN_CARE.value:
        raise NotInCareError(
            f"{animal} is {status.replace('_', ' ')}; only an animal in care can be "
            "placed."
        )
    if planned_on < animal.arrived_on:
        raise DomainError(
            f"{planned_on} lies before {animal} arrived on {animal.arrived_on}.",
            fields={"planned_on": f"Give a day from {animal.arrived_on} on."},
        )


@transaction.atomic
def hand_over(
    *, placement: Placement, on: date, by: User | None, at: datetime
) -> Placement:
    """Hand an animal over: its placement, its status and its stay change together.

    Args:
        placement: planned, with a packet.
        on: the local day it left.
        by: the person.
        at: when this was recorded.

    Raises:
        PlacementStateError: the placement is not planned.
        NoPacketError: no packet was made for it.
        DomainError: the animal cannot be marked as placed; see `mark_left`.
    """
    check_state(placement, PlacementState.PLANNED)
    if not placement.packets.exists():
        raise NoPacketError(
            f"{placement.animal} has no packet yet. Make one; it goes with the animal."
        )
    move(placement, PlacementState.HANDED_OVER, on=on)
    mark_left(animal=placement.animal, status=AnimalStatus.PLACED, on=on, by=by, at=at)
    after = audit.values(placement, "state", "handed_over_on")
    audit.record(placement, verb="hand_over", by=by, at=at, after=after)
    return placement


@transaction.atomic
def call_off(
    *, placement: Placement, reason: str, by: User | None, at: datetime
) -> Placement:
    """Call a planned placement off; the animal stays, its packets stay on record.

    Args:
        placement: planned.
        reason: why, for the audit trail.
        by: the person.
        at: when.

    Raises:
        PlacementStateError: the placement is not planned.
    """
    check_state(placement, PlacementState.PLANNED)
    move(placement, PlacementState.CALLED_OFF, on=None)
    after = audit.values(placement, "state")
    audit.record(placement, verb="call_off", by=by, at=at, after=after, reason=reason)
    return placement
