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
    placement.refresh_from_db(fields=["state", "planned_on", "handed_over_on"])
    if PlacementState(placement.state) not in wanted:
        words = " or ".join(state.value.replace("_", " ") for state in wanted)
        raise PlacementStateError(
            f"The placement of {placement.animal} is "
            f"{placement.state.replace('_', ' ')}; it has to be {words}."
        )


def move(placement: Placement, to: PlacementState, *, on: date | None) -> None:
    """Change the state, if nobody else did meanwhile."""
    before = PlacementState(placement.state)
    changed = to in MOVES[before] and Placement.objects.filter(
        pk=placement.pk, state=before.value
    ).update(state=to.value, handed_over_on=on)
    if not changed:
        raise PlacementStateError(
            f"The placement of {placement.animal} changed meanwhile. Look at it again."
        )
    placement.state, placement.handed_over_on = to.value, on
