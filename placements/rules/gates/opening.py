"""Which gate a person may open, and on which day gates are looked at."""

from datetime import date

from core.errors import DomainError
from placements.rules.gates.facts import GateResult
from placements.rules.vocabulary import Gate, GateState

LONGEST_REASON = 1_000


class GateError(DomainError):
    """A gate cannot be opened or shut like that."""

    code = "gate"


def leaving_on(*, planned_on: date, today: date) -> date:
    """Return the day for which the gates of a plan are looked at before it leaves.

    Args:
        planned_on: the day on which it is meant to leave.
        today: the local day.

    Returns:
        The planned day, or today where that day has passed.
    """
    return max(planned_on, today)


def check_opening(gate: Gate, result: GateResult | None, *, reason: str) -> None:
    """Refuse to open what is not shut, or what nobody opens.

    Args:
        gate: which.
        result: how it stands; None: a placement of this kind has no such gate.
        reason: of the person who opens it.

    Raises:
        GateError: no reason or too long a one, no such gate, not shut, or one that
            nobody opens.
    """
    told = reason.strip()
    if not told or len(told) > LONGEST_REASON:
        raise GateError(
            "Say why it may leave all the same; the reason goes on record and into the "
            f"packet. Up to {LONGEST_REASON} signs fit.",
            fields={"reason": f"1 to {LONGEST_REASON} signs"},
        )
    words = gate.value.replace("_", " ")
    if result is None:
        raise GateError(
            f"A placement of this kind has no gate “{words}”.",
            fields={"gate": "one that is shut"},
        )
    if result.state is not GateState.SHUT:
        raise GateError(
            f"The gate “{words}” is {result.state.value.replace('_', ' ')}, not shut: "
            f"{result.why}",
            fields={"gate": "one that is shut"},
        )
    if not result.can_be_opened:
        raise GateError(
            f"Nobody opens the gate “{words}”. {result.why}",
            fields={"gate": "one that may be opened"},
        )


def check_plan_of_treatment(plan: str) -> None:
    """Refuse a treatment's handing over without the vet's words.

    Raises:
        GateError: there are none.
    """
    if not plan.strip():
        raise GateError(
            "Write down how the licensed vet says that the treatment goes on.",
            fields={"plan": "not blank"},
        )
