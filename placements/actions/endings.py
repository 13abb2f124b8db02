"""How a placement ends after the animal has left: it comes back, or dies there."""

from datetime import date, datetime

from django.db import transaction

from core import audit
from core.errors import DomainError
from core.models import User
from husbandry.queries.stays import local_day_of
from placements.actions.follow_ups import drop_open_follow_ups
from placements.actions.states import check_state, move
from placements.models import Placement
from placements.rules.vocabulary import PlacementState

LONGEST_REASON = 300


class EndingError(DomainError):
    """A placement cannot have ended like that."""

    code = "placement_ending"


@transaction.atomic
def mark_came_back(
    *,
    placement: Placement,
    on: date,
    by: User | None,
    at: datetime,
    reason: str = "",
) -> Placement:
    """Note that an animal came back from where it was placed.

    The animal itself comes into care by its intake, which calls this. A plan to make
    a foster stay or loan lasting is called off.

    Args:
        placement: handed over.
        on: the local day; not before it was handed over, not to come.
        by: the person.
        at: now.
        reason: why, in plain words; no personal data.

    Raises:
        PlacementStateError: it is not handed over, or has ended already.
        EndingError: the day cannot be, or the reason is too long.
    """
    _end(placement, PlacementState.CAME_BACK, on=on, by=by, at=at, reason=reason)
    return placement


@transaction.atomic
def mark_died_there(
    *, placement: Placement, on: date, by: User | None, at: datetime, reason: str = ""
) -> Placement:
    """Note that an animal died where it was placed.

    Its own row still says when it left care here; how its placement ended stands in
    the placement. A plan to make a foster stay or loan lasting is called off.

    Args:
        placement: handed over.
        on: the local day; not before it was handed over, not to come.
        by: the person.
        at: now.
        reason: what is known of it, in plain words; no personal data.

    Raises:
        PlacementStateError: it is not handed over, or has ended already.
        EndingError: the day cannot be, or the reason is too long.
    """
    _end(placement, PlacementState.DIED_THERE, on=on, by=by, at=at, reason=reason)
    return placement


def _end(
    placement: Placement,
    to: PlacementState,
    *,
    on: date,
    by: User | None,
    at: datetime,
    reason: str,
) -> None:
    check_state(placement, PlacementState.HANDED_OVER)
    _check_ending(placement, on=on, at=at, reason=reason)
    _call_off_what_follows(placement, by=by, at=at)
    move(placement, to, on=on, reason=reason.strip())
    drop_open_follow_ups(
        placement=placement, reason="It does not live there any more.", by=by, at=at
    )
    after = audit.values(placement, "state", "ended_on")
    verb = "mark_came_back" if to is PlacementState.CAME_BACK else "mark_died_there"
    audit.record(placement, verb=verb, by=by, at=at, after=after, reason=reason.strip())


def _check_ending(placement: Placement, *, on: date, at: datetime, reason: str) -> None:
    left_on = placement.handed_over_on or placement.planned_on
    if on < left_on:
        raise EndingError(
            f"{placement.animal} left on {left_on}; its placement cannot have ended "
            f"on {on}.",
            fields={"on": f"{left_on} or later"},
        )
    today = local_day_of(animal=placement.animal, at=at)
    if on > today:
        raise EndingError(
            f"{on} has not come yet; note it once it has.",
            fields={"on": f"until {today}"},
        )
    if len(reason.strip()) > LONGEST_REASON:
        raise EndingError(
            f"The reason has {len(reason.strip())} signs; up to {LONGEST_REASON} fit.",
            fields={"reason": f"up to {LONGEST_REASON} signs"},
        )


def _call_off_what_follows(
    placement: Placement, *, by: User | None, at: datetime
) -> None:
    following = Placement.objects.filter(
        follows=placement, state=PlacementState.PLANNED.value
    ).first()
    if following is None:
        return
    move(following, PlacementState.CALLED_OFF, on=None)
    audit.record(
        following,
        verb="call_off",
        by=by,
        at=at,
        after=audit.values(following, "state"),
        reason="The stay that it was to make lasting has ended.",
    )
