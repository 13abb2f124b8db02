"""Where a placement stands, and how it moves on."""

from datetime import date

from core.errors import DomainError
from placements.models import Placement
from placements.rules.vocabulary import MOVES, PlacementState


class PlacementStateError(DomainError):
    """A placement does not stand where the verb needs it."""

    code = "placement_state"


def check_state(placement: Placement, *wanted: PlacementState) -> None:
    """Refuse what needs a placement to stand elsewhere.

    Raises:
        PlacementStateError: it stands in none of the states wanted.
    """
    placement.refresh_from_db(
        fields=["state", "planned_on", "handed_over_on", "ended_on"]
    )
    if PlacementState(placement.state) not in wanted:
        words = " or ".join(state.value.replace("_", " ") for state in wanted)
        raise PlacementStateError(
            f"The placement of {placement.animal} is "
            f"{placement.state.replace('_', ' ')}; it has to be {words}."
        )


def move(
    placement: Placement, to: PlacementState, *, on: date | None, reason: str = ""
) -> None:
    """Change the state, if nobody else did meanwhile.

    Args:
        placement: with the state that it was last seen in.
        to: the state that it comes to.
        on: the local day; of a hand-over the day it left, of an end the day it
            ended, None where it is called off.
        reason: of an end.

    Raises:
        PlacementStateError: the move is none that there is, or somebody else made
            one meanwhile.
    """
    before = PlacementState(placement.state)
    now: dict[str, object] = {"state": to.value}
    if to is PlacementState.HANDED_OVER:
        now["handed_over_on"] = on
    elif to is PlacementState.CALLED_OFF:
        # A stay that it was to make lasting can be planned anew.
        now["follows"] = None
    else:
        now |= {"ended_on": on, "ended_reason": reason}
    changed = to in MOVES[before] and Placement.objects.filter(
        pk=placement.pk, state=before.value
    ).update(**now)
    if not changed:
        raise PlacementStateError(
            f"The placement of {placement.animal} changed meanwhile. Look at it again."
        )
    for name, value in now.items():
        setattr(placement, name, value)
