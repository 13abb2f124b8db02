"""Hand animals over: every gate is looked at in the same transaction."""

from collections.abc import Sequence
from datetime import date, datetime

from django.db import transaction

from core import audit
from core.errors import DomainError
from core.models import User
from core.notice_words import NoticeKind
from core.notices import News, tell
from core.roles import Permission
from husbandry.actions.animals import mark_left
from husbandry.models import Animal
from husbandry.queries.stays import local_day_of
from husbandry.rules.vocabulary import AnimalStatus
from placements.actions.follow_ups import drop_open_follow_ups, plan_follow_ups
from placements.actions.register import write_register
from placements.actions.states import check_state, move
from placements.models import Application, Placement
from placements.queries.gates import gates_of
from placements.rules.gates.facts import GateResult
from placements.rules.gates.judging import shut_gates
from placements.rules.placing import PlanError
from placements.rules.vocabulary import (
    ApplicationState,
    PlacementKind,
    PlacementState,
)


class GatesShutError(DomainError):
    """An animal leaves when every gate lets it pass, or not at all."""

    code = "gates_shut"


class ReleaseNotPermittedError(DomainError):
    """Only a permitted person lets an animal go into the wild."""

    code = "release_not_permitted"


@transaction.atomic
def hand_over(
    *, placement: Placement, on: date, by: User | None, at: datetime
) -> Placement:
    """Hand an animal over: its placement, its status and its stay change together.

    Its home is asked later how it is doing, its application is placed, and the
    register gets its line. A plan that makes a stay lasting ends that stay; the
    animal does not move.

    Args:
        placement: planned; every gate of it lets the animal pass on that day.
        on: the local day it left.
        by: the person; for a release one who may release to the wild.
        at: when this was recorded.

    Raises:
        PlacementStateError: the placement is not planned, or the stay that it makes
            lasting has ended.
        ReleaseNotPermittedError: the person may not release to the wild.
        GatesShutError: a gate is shut; the sentence says why.
        DomainError: the animal cannot have left that day; see `mark_left`.
    """
    # The animal first, as everything that changes whether it may leave locks it.
    Animal.objects.select_for_update().get(pk=placement.animal_id)
    placement = _locked(placement)
    check_state(placement, PlacementState.PLANNED)
    _check_may_release(placement, by)
    results = gates_of(placement_ids=[placement.pk], on=on)[placement.pk]
    check_gates(placement, results)
    move(placement, PlacementState.HANDED_OVER, on=on)
    if placement.follows is None:
        status = AnimalStatus.PLACED
        if PlacementKind(placement.kind) is PlacementKind.RELEASE:
            status = AnimalStatus.RELEASED
        mark_left(animal=placement.animal, status=status, on=on, by=by, at=at)
    else:
        _end_stay(placement, placement.follows, on=on, by=by, at=at)
    _mark_placed(placement, by=by, at=at)
    plan_follow_ups(placement=placement, on=on, by=by, at=at)
    after = audit.values(placement, "state", "handed_over_on")
    audit.record(placement, verb="hand_over", by=by, at=at, after=after)
    tell({NoticeKind.PLACEMENT_HANDED_OVER}, lambda: [_news(placement)], at=at)
    write_register(by=by, at=at, animal_ids=[placement.animal_id])
    return placement


def _news(placement: Placement) -> News:
    """Say which animal left when and how; where to is nobody's but the house's."""
    on = placement.handed_over_on
    data = {
        "animal": placement.animal.code,
        "kind": placement.kind,
        "handed_over_on": on.isoformat() if on else None,
    }
    return News(NoticeKind.PLACEMENT_HANDED_OVER, placement.pk, data)


def _locked(placement: Placement) -> Placement:
    locked = Placement.objects.select_for_update(of=("self",)).select_related(
        "animal", "follows"
    )
    return locked.get(pk=placement.pk)


def check_gates(placement: Placement, results: Sequence[GateResult]) -> None:
    """Refuse a placement with a gate that is shut.

    Args:
        placement: whose.
        results: of all its gates.

    Raises:
        GatesShutError: it names each gate that is shut, and why.
    """
    shut = shut_gates(results)
    if not shut:
        return
    told = " ".join(result.why for result in shut)
    raise GatesShutError(
        f"{placement.animal} cannot leave yet. {told}",
        fields={result.gate.value: result.why for result in shut},
    )


def _check_may_release(placement: Placement, by: User | None) -> None:
    release = PlacementKind(placement.kind) is PlacementKind.RELEASE
    if release and (by is None or not by.may(Permission.RELEASE_TO_WILD)):
        raise ReleaseNotPermittedError(
            "Only a person with the permission to release to the wild records a "
            "release; the law of the place says who that may be."
        )


def _end_stay(
    placement: Placement,
    stay: Placement,
    *,
    on: date,
    by: User | None,
    at: datetime,
) -> None:
    check_state(stay, PlacementState.HANDED_OVER)
    today = local_day_of(animal=placement.animal, at=at)
    begun_on = stay.handed_over_on or placement.planned_on
    if not begun_on <= on <= today:
        raise PlanError(
            f"It cannot be made lasting on {on}: the stay began on {begun_on} and "
            f"today is {today}.",
            fields={"on": f"{begun_on} to {today}"},
        )
    move(stay, PlacementState.MADE_LASTING, on=on)
    drop_open_follow_ups(
        placement=stay, reason="The stay was made lasting.", by=by, at=at
    )
    after = audit.values(stay, "state", "ended_on")
    audit.record(stay, verb="make_lasting", by=by, at=at, after=after)


def _mark_placed(placement: Placement, *, by: User | None, at: datetime) -> None:
    application = placement.application
    if application is None:
        return
    ready = (ApplicationState.ACCEPTED.value, ApplicationState.WAITING.value)
    changed = Application.objects.filter(pk=application.pk, state__in=ready).update(
        state=ApplicationState.PLACED.value
    )
    if changed:
        before = audit.values(application, "state")
        application.state = ApplicationState.PLACED.value
        after = audit.values(application, "state")
        audit.record(
            application,
            verb="place_application",
            by=by,
            at=at,
            before=before,
            after=after,
        )
