"""How long a home's personal data are kept, and what stands against erasing them."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from dateutil.relativedelta import relativedelta

from placements.rules.applications.moves import OPEN
from placements.rules.follow_up_answers import questions_for
from placements.rules.vocabulary import (
    STAYS_OURS,
    ApplicationState,
    FollowUpKind,
    PlacementKind,
    PlacementState,
)


class ErasureReason(StrEnum):
    """Why a home's personal data are erased; words only, for it stays on record."""

    PAST_ITS_TIME = "past_its_time"
    ASKED_FOR = "asked_for"
    RECORDED_BY_MISTAKE = "recorded_by_mistake"


@dataclass(frozen=True, slots=True)
class Retention:
    """For how many months personal data are kept; `shipped` where nobody decided."""

    months_after_decline: int
    months_after_last_placement: int
    shipped: bool = False


# No law names these months: a refused applicant has little left to ask, a register of
# animals is inspected for years. Where local law says otherwise, a policy says so.
SHIPPED = Retention(
    months_after_decline=6, months_after_last_placement=60, shipped=True
)
FEWEST_MONTHS, MOST_MONTHS = 0, 600


@dataclass(frozen=True, slots=True)
class ApplicationLine:
    """An application in a home's history; `on`: the day it was decided, else came."""

    state: ApplicationState
    on: date


@dataclass(frozen=True, slots=True)
class PlacementLine:
    """A placement in a home's history; `on`: the last day on which it changed."""

    state: PlacementState
    kind: PlacementKind
    animal_code: str
    on: date


@dataclass(frozen=True, slots=True)
class HomeHistory:
    """What decides how long a home's data are kept.

    Attributes:
        recorded_on: day the home was recorded; None: before that was noted.
        keep_until: a day that somebody set, as a law or a case at court may ask.
        arrivals: days on which animals came from it.
    """

    home: int
    recorded_on: date | None
    keep_until: date | None
    applications: tuple[ApplicationLine, ...] = ()
    placements: tuple[PlacementLine, ...] = ()
    arrivals: tuple[date, ...] = ()


def why_not_now(history: HomeHistory, on: date) -> tuple[str, ...]:
    """Return what stands against erasing a home's data, a sentence each.

    Args:
        history: of the home.
        on: the local day.

    Returns:
        Nothing where they can be erased. That the policy keeps them longer is no
        obstacle: who asks for it has the right to be forgotten earlier.

    Source:
        personal-data-convention
    """
    found = []
    if any(line.state in OPEN for line in history.applications):
        found.append(
            "An application of this home is open; decide it or withdraw it first."
        )
    for line in history.placements:
        if line.state is PlacementState.PLANNED:
            found.append(
                f"{line.animal_code} is planned to go there; call it off first."
            )
        elif line.state is PlacementState.HANDED_OVER and line.kind in STAYS_OURS:
            found.append(
                f"{line.animal_code} is there as a {line.kind.value} and still ours; "
                "its carer has to be known."
            )
    if history.keep_until is not None and history.keep_until >= on:
        found.append(
            f"Its data have to be kept until {history.keep_until}, as was noted."
        )
    return tuple(found)


def kept_until(history: HomeHistory, retention: Retention) -> date | None:
    """Return the last day on which a home's data are kept by the policy.

    Args:
        history: of the home; what stands against erasing is `why_not_now`'s to say.
        retention: the policy that holds.

    Returns:
        The latest of what its applications, its placements, what came from it and
        its recording ask for; a day that was set by hand instead of all these. None:
        nothing says since when it is kept.

    Source:
        personal-data-convention; months by the calendar, and the last day of a
        month for a day that it has not.
    """
    if history.keep_until is not None:
        return history.keep_until
    short = relativedelta(months=retention.months_after_decline)
    long = relativedelta(months=retention.months_after_last_placement)
    days = [line.on + short for line in history.applications]
    days += [history.recorded_on + short] if history.recorded_on else []
    days += [
        line.on + (short if line.state is PlacementState.CALLED_OFF else long)
        for line in history.placements
    ]
    days += [on + long for on in history.arrivals]
    return max(days, default=None)


def is_past(history: HomeHistory, retention: Retention, on: date) -> bool:
    """Say whether a home's data are to be erased on a day.

    Args:
        history: of the home.
        retention: the policy that holds.
        on: the local day; the last day of keeping is still kept.
    """
    last = kept_until(history, retention)
    return last is not None and last < on and not why_not_now(history, on)


def without_words(kind: FollowUpKind, answers: Mapping[str, str]) -> dict[str, str]:
    """Return of a follow-up's answers those that were chosen, not those in own words.

    Args:
        kind: at what time the home was asked.
        answers: by question, as kept.
    """
    offered = {
        question.id: {word for word, _ in question.choices}
        for question in questions_for(kind)
    }
    return {id_: text for id_, text in answers.items() if text in offered.get(id_, ())}
