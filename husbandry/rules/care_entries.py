"""Whether what is written into the care book can have been."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from core.errors import DomainError
from husbandry.rules.animals import never_here
from husbandry.rules.returns import TimeAway, check_not_away

LONGEST_NOTE = 300
LONGEST_REASON = 200
LONGEST_FEEDER = 60
MOST_OFFERED = 1000
LEAST_CM = Decimal(1)
LONGEST_SNOUT_VENT_CM = Decimal(60)
LONGEST_TOTAL_CM = Decimal(200)
STEP_CM = Decimal("0.1")


class CareEntryError(DomainError):
    """An entry cannot be as given, whatever it is about."""

    code = "care_entry_refused"


class FeedingError(DomainError):
    """A feeding cannot be recorded as given."""

    code = "feeding_refused"


class MeasuringError(DomainError):
    """Lengths cannot be recorded as given."""

    code = "measuring_refused"


@dataclass(frozen=True, slots=True)
class TimeHere:
    """During which days there can be entries about somebody or something.

    Attributes:
        label: how it is called.
        hatched_on: only where it is known to the day.
        left_on: its last day here; None: it is here.
        never_here: it is on record as an ancestor only.
        away: between its times here, if it came again.
    """

    label: str
    hatched_on: date | None = None
    left_on: date | None = None
    never_here: bool = False
    away: tuple[TimeAway, ...] = ()


def check_not_to_come(at: datetime, *, recorded_at: datetime) -> None:
    """Refuse an instant that has not come yet.

    Args:
        at: of what was done or seen.
        recorded_at: now; the same instant is accepted.

    Raises:
        CareEntryError: it lies after now.
    """
    if at > recorded_at:
        raise CareEntryError(
            f"{at:%Y-%m-%d %H:%M %Z} has not come yet. Give the instant at which it "
            "was done or seen, now or earlier.",
            fields={"at": "now or earlier"},
        )


def check_instant(
    here: TimeHere, *, at: datetime, on: date, recorded_at: datetime
) -> None:
    """Refuse an instant at which nothing can have been done or seen of an animal.

    Args:
        here: from when until when there can be entries about it; both days count.
        at: of what was done or seen.
        on: its local day, where the animal was.
        recorded_at: now.

    Raises:
        CareEntryError: it is to come, or lies before the animal hatched or after it
            left or while it was away, or the animal was never in care here.
    """
    check_not_to_come(at, recorded_at=recorded_at)
    if here.never_here:
        raise CareEntryError(
            never_here(here.label), fields={"animal": "one that is or was in care"}
        )
    if here.left_on is not None and on > here.left_on:
        raise CareEntryError(
            f"{here.label} left on {here.left_on:%d %b %Y}; nothing can have been done "
            f"or seen of it here on {on:%d %b %Y}.",
            fields={"at": f"until {here.left_on}"},
        )
    check_not_away(here.label, on, times=here.away, error=CareEntryError, field="at")
    if here.hatched_on is not None and on < here.hatched_on:
        raise CareEntryError(
            f"{here.label} hatched on {here.hatched_on:%d %b %Y}; nothing can have "
            f"been done or seen of it on {on:%d %b %Y}.",
            fields={"at": f"from {here.hatched_on} on"},
        )


def check_note(note: str) -> None:
    """Refuse a note of more than 300 characters.

    Raises:
        CareEntryError: it is longer.
    """
    if len(note) > LONGEST_NOTE:
        raise CareEntryError(
            f"The note has {len(note)} characters; at most {LONGEST_NOTE} are kept.",
            fields={"note": f"at most {LONGEST_NOTE} characters"},
        )


def check_reason(reason: str, *, field: str) -> None:
    """Refuse to strike out an entry without a word why.

    Args:
        reason: what was wrong with it, up to 200 characters.
        field: what the input is called where it was given.

    Raises:
        CareEntryError: it is blank or longer.
    """
    if not reason.strip():
        raise CareEntryError(
            "Say what was wrong: an entry is struck out with its reason.",
            fields={field: "not blank"},
        )
    if len(reason.strip()) > LONGEST_REASON:
        raise CareEntryError(
            f"The reason has {len(reason.strip())} characters; at most "
            f"{LONGEST_REASON} are kept.",
            fields={field: f"at most {LONGEST_REASON} characters"},
        )


def check_amounts(*, offered: int, eaten: int | None) -> None:
    """Refuse amounts of food that cannot be.

    Args:
        offered: how many were offered, 1 to 1000.
        eaten: how many of these were eaten; None: nobody watched.

    Raises:
        FeedingError: nothing or too much was offered, or more was eaten than that.

    Source:
        House rule: a thousand insects at once is taken for a slip of the hand.
    """
    if not 1 <= offered <= MOST_OFFERED:
        raise FeedingError(
            f"{offered} offered cannot be: give 1 to {MOST_OFFERED}. If nothing was "
            "offered there is nothing to record.",
            fields={"offered": f"1 to {MOST_OFFERED}"},
        )
    if eaten is not None and not 0 <= eaten <= offered:
        raise FeedingError(
            f"{eaten} eaten of {offered} offered cannot be: give 0 to {offered}, or "
            "leave it empty where nobody watched.",
            fields={"eaten": f"0 to {offered}, or empty"},
        )


def round_lengths(
    *, snout_vent_cm: Decimal | None, total_cm: Decimal | None
) -> tuple[Decimal | None, Decimal | None]:
    """Return lengths as they are kept, to 0.1 cm; refuse what cannot be.

    Only the impossible is refused. A length that shrank since the last one is kept
    as it was measured: a living animal is hard to hold straight.

    Args:
        snout_vent_cm: from the snout to the vent, 1 to 60 cm; None: not measured.
        total_cm: with the tail, 1 to 200 cm; None: not measured. One of both is
            given.

    Raises:
        MeasuringError: neither is given, one is out of range, or the whole is
            shorter than its part.

    Source:
        House rule: more than these is taken for millimetres or inches.
    """
    if snout_vent_cm is None and total_cm is None:
        raise MeasuringError(
            "Nothing was measured: give the length from snout to vent, the whole "
            "length with the tail, or both, in cm.",
            fields={"snout_vent_cm": "a length", "total_cm": "a length"},
        )
    body = _rounded("snout_vent_cm", snout_vent_cm, LONGEST_SNOUT_VENT_CM)
    whole = _rounded("total_cm", total_cm, LONGEST_TOTAL_CM)
    if body is not None and whole is not None and body > whole:
        raise MeasuringError(
            f"{body} cm from snout to vent is more than {whole} cm with the tail. "
            "Look whether both stand in the right place.",
            fields={"total_cm": f"at least {body}"},
        )
    return body, whole


def _rounded(name: str, length_cm: Decimal | None, most_cm: Decimal) -> Decimal | None:
    if length_cm is None:
        return None
    if not length_cm.is_finite() or not LEAST_CM <= length_cm <= most_cm:
        raise MeasuringError(
            f"A length of {length_cm} cm cannot be: give {LEAST_CM} to {most_cm} cm.",
            fields={name: f"{LEAST_CM} to {most_cm} cm"},
        )
    return length_cm.quantize(STEP_CM)
