"""The room's words."""

from enum import StrEnum


class PlacementKind(StrEnum):
    """In what way an animal goes to its new home."""

    ADOPTION = "adoption"
    SALE = "sale"
    TRANSFER = "transfer"
    LOAN = "loan"


class PlacementState(StrEnum):
    """How far a placement has come."""

    PLANNED = "planned"
    HANDED_OVER = "handed_over"
    CALLED_OFF = "called_off"


# The allowed moves; drawn into the docs.
MOVES: dict[PlacementState, tuple[PlacementState, ...]] = {
    PlacementState.PLANNED: (PlacementState.HANDED_OVER, PlacementState.CALLED_OFF),
    PlacementState.HANDED_OVER: (),
    PlacementState.CALLED_OFF: (),
}
