"""Plan placements, change plans, call them off."""

from dataclasses import replace
from datetime import date, datetime
from typing import TypedDict, Unpack

from django.db import IntegrityError, transaction

from core import audit
from core.errors import DomainError
from core.models import User
from husbandry.models import Animal
from husbandry.rules.vocabulary import AnimalStatus
from placements.actions.states import check_state, move
from placements.models import Application, Home, HomeEnclosure, Placement
from placements.rules.placing import (
    NotInCareError,
    Plan,
    PlanError,
    check_due_back,
    check_lasting,
    check_plan,
)
from placements.rules.vocabulary import PlacementKind, PlacementState

__all__ = [
    "AlreadyPlannedError",
    "NotInCareError",
    "PlanChanges",
    "PlanError",
    "call_off",
    "change_plan",
    "extend_stay",
    "plan_lasting",
    "plan_placement",
]

FIELDS = (
    *("animal", "home", "kind", "planned_on", "due_back_on", "release_place"),
    *("application", "home_enclosure", "follows"),
)


class AlreadyPlannedError(DomainError):
    """An animal has one planned placement at a time."""

    code = "already_planned"


class PlanChanges(TypedDict, total=False):
    """What of a plan can still change; what is left out stays."""

    planned_on: date
    due_back_on: date | None
    application: Application | None
    home_enclosure: HomeEnclosure | None


@transaction.atomic
def plan_placement(
    *,
    animal: Animal,
    home: Home | None,
    kind: PlacementKind,
    planned_on: date,
    by: User | None,
    at: datetime,
    due_back_on: date | None = None,
    release_place: str = "",
    application: Application | None = None,
    home_enclosure: HomeEnclosure | None = None,
) -> Placement:
    """Plan that an animal goes to a home, or into the wild, on a day.

    Args:
        animal: in care, without another planned placement.
        home: where it goes; None of a release.
        kind: in what way.
        planned_on: the day it is meant to leave, not before it arrived.
        by: the person.
        at: when.
        due_back_on: of a loan or a foster stay, after it left.
        release_place: of a release.
        application: of that home.
        home_enclosure: of that home, in which it is to live.

    Raises:
        NotInCareError: the animal is not in care.
        AlreadyPlannedError: another placement of it is planned.
        PlanError: days, home, place and kind do not go together.
    """
    # Nobody hands it over by another placement meanwhile.
    animal = Animal.objects.select_for_update().get(pk=animal.pk)
    placement = Placement(
        animal=animal,
        home=home,
        kind=kind.value,
        planned_on=planned_on,
        due_back_on=due_back_on,
        release_place=release_place.strip(),
        application=application,
        home_enclosure=home_enclosure,
        created_by=by,
        created_at=at,
    )
    check_plan(_plan_of(placement))
    return _store(placement, verb="plan_placement", by=by, at=at)


@transaction.atomic
def plan_lasting(
    *,
    placement: Placement,
    kind: PlacementKind,
    planned_on: date,
    by: User | None,
    at: datetime,
    application: Application | None = None,
) -> Placement:
    """Plan that a loan or foster stay is made lasting; the animal stays where it is.

    It has its own gates and its own packet; handing it over ends the stay.

    Args:
        placement: a loan or foster stay, handed over.
        kind: adoption, sale or transfer.
        planned_on: the day from which it holds, not before the stay began.
        by: the person.
        at: when.
        application: of that home; None: that of the stay.

    Returns:
        The new plan, for the same animal, home and enclosure.

    Raises:
        PlacementStateError: the stay is not handed over, or has ended.
        AlreadyPlannedError: it is planned already.
        PlanError: it is no stay for a time, or the kind is none for good.
    """
    check_state(placement, PlacementState.HANDED_OVER)
    check_lasting(now=PlacementKind(placement.kind), to=kind)
    lasting = Placement(
        animal=placement.animal,
        home=placement.home,
        kind=kind.value,
        planned_on=planned_on,
        application=application or placement.application,
        home_enclosure=placement.home_enclosure,
        follows=placement,
        created_by=by,
        created_at=at,
    )
    plan = _plan_of(lasting)
    begun_on = placement.handed_over_on or plan.from_on
    check_plan(replace(plan, from_on=begun_on), lasting=True)
    return _store(lasting, verb="plan_lasting", by=by, at=at)


def _plan_of(placement: Placement) -> Plan:
    animal, home = placement.animal, placement.home
    application, enclosure = placement.application, placement.home_enclosure
    return Plan(
        label=str(animal),
        status=AnimalStatus(animal.status),
        from_on=animal.arrived_on,
        kind=PlacementKind(placement.kind),
        planned_on=placement.planned_on,
        home=home.pk if home else None,
        home_erased=home is not None and home.erased_at is not None,
        due_back_on=placement.due_back_on,
        release_place=placement.release_place,
        applicant=application.home_id if application else None,
        enclosure_home=enclosure.home_id if enclosure else None,
    )


def _store(
    placement: Placement, *, verb: str, by: User | None, at: datetime
) -> Placement:
    try:
        with transaction.atomic():
            placement.save(force_insert=True)
    except IntegrityError as error:
        raise AlreadyPlannedError(
            f"{placement.animal} has a planned placement already. Hand it over or call "
            "it off first."
        ) from error
    after = audit.values(placement, *FIELDS)
    audit.record(placement, verb=verb, by=by, at=at, after=after)
    return placement


@transaction.atomic
def change_plan(
    *,
    placement: Placement,
    by: User | None,
    at: datetime,
    **changes: Unpack[PlanChanges],
) -> Placement:
    """Change the days, the application or the enclosure of a plan.

    Args:
        placement: planned.
        by: the person.
        at: when.
        changes: see `PlanChanges`.

    Raises:
        PlacementStateError: it is not planned any more.
        PlanError: nothing would change, or it does not go together.
    """
    placement = Placement.objects.select_for_update(of=("self",)).get(pk=placement.pk)
    check_state(placement, PlacementState.PLANNED)
    names = sorted(changes)
    before = audit.values(placement, *names)
    for name, value in changes.items():
        setattr(placement, name, value)
    if audit.values(placement, *names) == before:
        raise PlanError("Nothing would change: give what the plan should say.")
    stay = placement.follows
    plan = _plan_of(placement)
    if stay is not None and stay.handed_over_on is not None:
        plan = replace(plan, from_on=stay.handed_over_on)
    check_plan(plan, lasting=stay is not None)
    placement.save(update_fields=names)
    after = audit.values(placement, *names)
    audit.record(
        placement, verb="change_plan", by=by, at=at, before=before, after=after
    )
    return placement


@transaction.atomic
def extend_stay(
    *, placement: Placement, due_back_on: date, by: User | None, at: datetime
) -> Placement:
    """Agree on another day on which an animal is due back.

    Args:
        placement: a loan or foster stay, handed over.
        due_back_on: the new day, after it left.
        by: the person.
        at: when.

    Raises:
        PlacementStateError: it is not handed over, or has ended.
        PlanError: it is of another kind, or the day cannot be.
    """
    check_state(placement, PlacementState.HANDED_OVER)
    kind = PlacementKind(placement.kind)
    left_on = placement.handed_over_on or placement.planned_on
    check_due_back(kind, due_back_on=due_back_on, after=left_on)
    before = audit.values(placement, "due_back_on")
    placement.due_back_on = due_back_on
    placement.save(update_fields=["due_back_on"])
    after = audit.values(placement, "due_back_on")
    audit.record(
        placement, verb="extend_stay", by=by, at=at, before=before, after=after
    )
    return placement


@transaction.atomic
def call_off(
    *, placement: Placement, reason: str, by: User | None, at: datetime
) -> Placement:
    """Call a planned placement off; the animal stays, its packets stay on record.

    A stay that it was to make lasting goes on as it was, and can be planned anew.

    Args:
        placement: planned.
        reason: why, for the audit trail; no personal data.
        by: the person.
        at: when.

    Raises:
        PlacementStateError: the placement is not planned.
    """
    check_state(placement, PlacementState.PLANNED)
    before = audit.values(placement, "state", "follows")
    move(placement, PlacementState.CALLED_OFF, on=None)
    after = audit.values(placement, "state", "follows")
    audit.record(
        placement,
        verb="call_off",
        by=by,
        at=at,
        before=before,
        after=after,
        reason=reason,
    )
    return placement
