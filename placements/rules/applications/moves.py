"""From where to where an application moves, and what has to be settled before."""

from collections.abc import Sequence

from core.errors import DomainError
from placements.rules.vocabulary import (
    APPLICATION_MOVES,
    ApplicationState,
    CheckKind,
)

OPEN = frozenset(
    {
        ApplicationState.RECEIVED,
        ApplicationState.CHECKING,
        ApplicationState.ACCEPTED,
        ApplicationState.WAITING,
    }
)
"""States in which somebody still has something to do or to wait for."""
REFUSED = frozenset({ApplicationState.DECLINED, ApplicationState.WITHDRAWN})


class ApplicationStateError(DomainError):
    """An application does not stand where it would have to."""

    code = "application_state"


def check_move(before: ApplicationState, to: ApplicationState) -> None:
    """Refuse a move that there is not.

    Args:
        before: where the application stands.
        to: where it is to go.

    Raises:
        ApplicationStateError: it does not go there from where it stands.
    """
    allowed = APPLICATION_MOVES[before]
    if to in allowed:
        return
    ways = " or ".join(state.value for state in allowed)
    raise ApplicationStateError(
        f"The application is {before.value}; from there it cannot become {to.value}"
        + (f", only {ways}." if ways else "."),
        fields={"to": f"one of: {ways}" if ways else "nothing: it is over"},
    )


def check_settled(failed: Sequence[CheckKind], unsettled: Sequence[CheckKind]) -> None:
    """Refuse to accept while something that was to be looked into is not settled.

    Args:
        failed: checks whose newest outcome is a failure.
        unsettled: checks that are open.

    Raises:
        ApplicationStateError: there is one of either.
    """
    told = [f"{_word(kind)} failed" for kind in failed]
    told += [f"{_word(kind)} is open" for kind in unsettled]
    if told:
        raise ApplicationStateError(
            f"It cannot be accepted yet: {'; '.join(told)}. Record how each came out; "
            "“not needed” is an outcome too."
        )


def _word(kind: CheckKind) -> str:
    return kind.value.replace("_", " ")
