"""From when until when an animal may be kept apart, and on which days it is."""

from dataclasses import dataclass
from datetime import date

from core.errors import DomainError
from husbandry.rules.animals import not_in_care
from husbandry.rules.vocabulary import AnimalStatus

LONGEST_GROUP = 40
LONGEST_REASON = 200


class QuarantineError(DomainError):
    """A quarantine cannot begin or end as asked."""

    code = "quarantine_refused"


@dataclass(frozen=True, slots=True)
class ToKeepApart:
    """An animal whose quarantine is to begin, as it stands.

    Attributes:
        label: code and name, as people say them.
        status: whether it is here to be cared for.
        arrived_on: first day of its present time in care.
        open_since: when the quarantine began that is still open; None: none is.
        ended_on: when its newest finished quarantine ended; None: it had none.
    """

    label: str
    status: AnimalStatus
    arrived_on: date
    open_since: date | None
    ended_on: date | None


def is_kept_apart(*, began_on: date, ended_on: date | None, on: date) -> bool:
    """Say whether a quarantine holds at the end of a local day.

    Args:
        began_on: its first day.
        ended_on: the day on which it was ended; None: it is open.
        on: the day; on that on which it was ended it does not hold any more, so that
            an animal may be moved on the day on which it was cleared.
    """
    return began_on <= on and (ended_on is None or on < ended_on)


def check_words(*, group: str, reason: str) -> None:
    """Refuse a quarantine without a group or a reason, or with ones too long.

    Raises:
        QuarantineError: the sentence says what would be accepted.
    """
    for field, text, longest in (
        ("group", group, LONGEST_GROUP),
        ("reason", reason, LONGEST_REASON),
    ):
        if not text.strip() or len(text) > longest:
            raise QuarantineError(
                f"The {field} of a quarantine has 1 to {longest} characters; this one "
                f"has {len(text.strip())}.",
                fields={field: f"1 to {longest} characters"},
            )


def check_begin(animal: ToKeepApart, *, on: date, today: date) -> None:
    """Refuse to keep an animal apart from a day on which it cannot have been.

    Args:
        animal: as it stands.
        on: first local day; today, the day of arrival and the day on which an
            earlier quarantine ended are accepted.
        today: local day of now.

    Raises:
        QuarantineError: it is not in care, is kept apart already, or the day is to
            come, before it arrived or within an earlier quarantine.
    """
    if animal.status is not AnimalStatus.IN_CARE:
        raise QuarantineError(
            not_in_care(animal.label, animal.status), fields={"animal": "one in care"}
        )
    if animal.open_since is not None:
        raise QuarantineError(
            f"{animal.label} is in quarantine since {animal.open_since:%d %b %Y} "
            "already.",
            fields={"animal": "one that is not in quarantine"},
        )
    if on > today:
        raise QuarantineError(
            f"{on:%d %b %Y} has not come yet.", fields={"on": f"until {today}"}
        )
    earliest_on = max(animal.arrived_on, animal.ended_on or date.min)
    if on < earliest_on:
        why = (
            f"arrived on {animal.arrived_on:%d %b %Y}"
            if earliest_on == animal.arrived_on
            else f"was in an earlier quarantine until {earliest_on:%d %b %Y}"
        )
        raise QuarantineError(
            f"{animal.label} {why}; a quarantine cannot have begun on {on:%d %b %Y}.",
            fields={"on": f"{earliest_on} or later"},
        )


def check_end(label: str, *, began_on: date, on: date, today: date) -> None:
    """Refuse to end a quarantine on a day on which it cannot have ended.

    Args:
        label: of the animal.
        began_on: its first day; it may end on that day.
        on: the local day on which it ends.
        today: local day of now.

    Raises:
        QuarantineError: the day is before it began, or to come.
    """
    if began_on <= on <= today:
        return
    why = (
        "that day has not come yet"
        if on > today
        else f"it began on {began_on:%d %b %Y}"
    )
    raise QuarantineError(
        f"The quarantine of {label} cannot end on {on:%d %b %Y}: {why}.",
        fields={"on": f"{began_on} to {today}"},
    )
