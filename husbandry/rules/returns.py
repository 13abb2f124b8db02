"""Whether an animal can have come again, and the days on which it was away between."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from core.errors import DomainError
from husbandry.rules.animals import AnimalError
from husbandry.rules.vocabulary import AnimalStatus


class ReturnError(AnimalError):
    """An animal cannot have come again as given."""

    code = "return_refused"


@dataclass(frozen=True, slots=True)
class TimeAway:
    """The days between two times in care; neither day is one of them."""

    left_on: date
    came_on: date


def away_on(times: Iterable[TimeAway], on: date) -> TimeAway | None:
    """Return during which time away a day lies, or None.

    The day on which an animal left and that on which it came again are days here.

    Args:
        times: of one animal, in any order.
        on: the local day.
    """
    return next((t for t in times if t.left_on < on < t.came_on), None)


def check_not_away(
    label: str,
    on: date,
    *,
    times: Iterable[TimeAway],
    error: type[DomainError],
    field: str,
) -> None:
    """Refuse what is recorded of a day on which an animal was not here.

    Args:
        label: code and name, as people say them.
        on: the local day.
        times: when it was away.
        error: as what it is refused.
        field: the input that is about the day.

    Raises:
        DomainError: of the kind given; it was away on that day.
    """
    away = away_on(times, on)
    if away is not None:
        raise error(
            f"{label} was not here on {on:%d %b %Y}: it left on "
            f"{away.left_on:%d %b %Y} and came again on {away.came_on:%d %b %Y}.",
            fields={field: f"until {away.left_on}, or from {away.came_on} on"},
        )


def check_return(
    *,
    label: str,
    status: AnimalStatus,
    left_on: date | None,
    arrived_on: date,
    today: date,
) -> None:
    """Refuse that an animal came into care when it cannot have.

    Args:
        label: code and name, as people say them.
        status: as on record; an ancestor that was never here may come on any day.
        left_on: its last day here; the same day is accepted, for it may be brought
            back at once.
        arrived_on: the local day on which it came.
        today: the latest local day that has begun anywhere.

    Raises:
        ReturnError: it is dead or here, or the day is to come or before it left.
    """
    if status is AnimalStatus.IN_CARE:
        raise ReturnError(
            f"{label} is in care already; it cannot come again before it has left.",
            fields={"animal": "one that has left"},
        )
    if status is AnimalStatus.DEAD:
        raise ReturnError(
            f"{label} is on record as dead and cannot come into care. If another "
            "animal is meant, look for its code; if the death is wrong, mend that "
            "first.",
            fields={"animal": "one that is alive"},
        )
    if arrived_on > today:
        raise ReturnError(
            f"{arrived_on:%d %b %Y} has not come yet; note that {label} came once it "
            "has.",
            fields={"arrived_on": f"until {today}"},
        )
    known = left_on is not None and status is not AnimalStatus.ELSEWHERE
    if known and left_on is not None and arrived_on < left_on:
        raise ReturnError(
            f"{label} was here until {left_on:%d %b %Y}; it cannot have come again on "
            f"{arrived_on:%d %b %Y}, before that.",
            fields={"arrived_on": f"{left_on} or later"},
        )
