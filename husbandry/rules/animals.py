"""Whether what is on record of an animal fits together."""

from collections.abc import Collection
from datetime import date

from core.errors import DomainError
from husbandry.rules.vocabulary import AnimalStatus, DatePrecision

LONGEST_CODE = 20


class AnimalError(DomainError):
    """An animal cannot be as recorded."""

    code = "animal_refused"


def never_here(label: str) -> str:
    """Return the sentence about an animal that was never in care here."""
    return (
        f"{label} was never in care here; it is on record as an ancestor only. If it "
        "has come, take it in as an arrival under its own code first."
    )


def not_in_care(label: str, status: AnimalStatus) -> str:
    """Return the sentence about an animal that is not here to be cared for.

    Args:
        label: code and name, as people say them.
        status: any but in care.
    """
    if status is AnimalStatus.ELSEWHERE:
        return never_here(label)
    return f"{label} is not in care any more."


def check_arrival_kept(status: AnimalStatus, *, changed: Collection[str]) -> None:
    """Refuse a day of arrival for an animal that never arrived.

    Args:
        status: of the animal that is mended.
        changed: the fields that would change.

    Raises:
        AnimalError: the arrival of an ancestor that was never here is among them.
    """
    if status is AnimalStatus.ELSEWHERE and "arrived_on" in changed:
        raise AnimalError(
            "An ancestor that was never in care here has no day of arrival; the day on "
            "record is that on which it was written down.",
            fields={"arrived_on": "as it is on record"},
        )


def check_code(code: str) -> None:
    """Refuse a code that is no label.

    Raises:
        AnimalError: it is blank or longer than 20 characters.
    """
    if not 0 < len(code.strip()) <= LONGEST_CODE:
        raise AnimalError(
            f"{code!r} is no code for an animal: give 1 to {LONGEST_CODE} "
            "characters, as on its label.",
            fields={"code": f"1 to {LONGEST_CODE} characters"},
        )


def check_dates(
    *,
    arrived_on: date,
    hatched_on: date | None,
    precision: DatePrecision,
    today: date,
) -> None:
    """Refuse dates that contradict each other or are to come.

    Args:
        arrived_on: first day in care.
        hatched_on: the day, or a day of the month or year of hatching; None: not
            known. Born here, it is the day of arrival.
        precision: how exactly it is known; unknown exactly where there is no date.
        today: the latest local day that has begun anywhere; it has come.

    Raises:
        AnimalError: the sentence names the date and what would be accepted.
    """
    if (hatched_on is None) is not (precision is DatePrecision.UNKNOWN):
        raise AnimalError(
            "A hatch date needs a precision (day, month or year), and a precision "
            "needs a date; leave out both if it is not known.",
            fields={"hatched_precision": "day, month or year with a date"},
        )
    for name, on in (("arrived_on", arrived_on), ("hatched_on", hatched_on)):
        if on is not None and on > today:
            raise AnimalError(
                f"{on:%d %b %Y} has not come yet.", fields={name: f"until {today}"}
            )
    exact = precision is DatePrecision.DAY
    if exact and hatched_on is not None and hatched_on > arrived_on:
        raise AnimalError(
            f"An animal that hatched on {hatched_on:%d %b %Y} cannot have arrived on "
            f"{arrived_on:%d %b %Y}, before that.",
            fields={"arrived_on": f"{hatched_on} or later"},
        )
