"""Applications and placements in the words that a home reads."""

from dataclasses import dataclass

from placements.models import Application, Placement
from placements.rules.vocabulary import ApplicationState, PlacementKind, PlacementState
from staff.units import day

APPLICATION = {
    ApplicationState.RECEIVED: "We have your application. Nobody has looked into it "
    "yet; you need not do anything.",
    ApplicationState.CHECKING: "We are looking into your application. We may call you, "
    "and those whom you named.",
    ApplicationState.ACCEPTED: "Your application is accepted. That is not yet an "
    "animal: we write to you when one fits and is ready to leave.",
    ApplicationState.WAITING: "Your application is accepted, and you are on the "
    "waiting list.",
    ApplicationState.PLACED: "An animal has come to you on this application.",
    ApplicationState.DECLINED: "We have declined your application.",
    ApplicationState.WITHDRAWN: "This application is withdrawn. You may send another "
    "one at any time.",
}
KINDS = {
    PlacementKind.ADOPTION: "to adopt",
    PlacementKind.SALE: "to buy",
    PlacementKind.TRANSFER: "to take over",
    PlacementKind.LOAN: "to borrow",
    PlacementKind.FOSTER: "to foster",
    PlacementKind.RELEASE: "to release",
}


@dataclass(frozen=True, slots=True)
class Told:
    """Where something stands: what it is about, a sentence, and what staff wrote."""

    about: str
    state: str
    words: str = ""


def application_told(row: Application) -> Told:
    """Return where an application stands, as its home reads it."""
    wanted = row.animal or row.species
    state = APPLICATION[ApplicationState(row.state)]
    if row.state == ApplicationState.WAITING and row.waiting_since:
        state = f"{state[:-1]} since {day(row.waiting_since)}."
    about = f"{KINDS[PlacementKind(row.kind)]}: {wanted}"
    return Told(about[0].upper() + about[1:], state, row.told)


def placement_told(row: Placement) -> Told:
    """Return where a placement stands, as its home reads it."""
    return Told(f"{row.animal}, {row.animal.species}", _placement_state(row))


def _placement_state(row: Placement) -> str:
    state = PlacementState(row.state)
    if state is PlacementState.PLANNED:
        return (
            f"It is planned to come to you on {day(row.planned_on)}. Have its "
            "enclosure complete and running before that day."
        )
    if state is PlacementState.CALLED_OFF:
        return "It will not come to you; the plan was called off."
    came = f"It came to you on {day(row.handed_over_on)}" if row.handed_over_on else ""
    ended = f" on {day(row.ended_on)}" if row.ended_on else ""
    back = f", and is due back on {day(row.due_back_on)}" if row.due_back_on else ""
    return {
        PlacementState.CAME_BACK: f"{came} and came back to us{ended}.",
        PlacementState.MADE_LASTING: f"{came}, and stays with you since{ended[3:]}.",
        PlacementState.DIED_THERE: f"{came} and died{ended}. We are sorry.",
    }.get(state, f"{came}{back}.")
