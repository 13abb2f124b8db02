"""Whether what became of a dose can have been: which one it was, and when."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from core.errors import DomainError
from husbandry.rules.care.dosing import doses_due
from husbandry.rules.care.facts import PrescriptionFact
from husbandry.rules.overrides import LONGEST_DAYS
from husbandry.rules.vocabulary import DoseOutcome

LONGEST_NOTE = 300
LONGEST = timedelta(days=LONGEST_DAYS + 1)


class DoseError(DomainError):
    """What became of a dose cannot be recorded as given."""

    code = "dose_not_recorded"


def check_due(
    prescription: PrescriptionFact, *, due_at: datetime, zone: ZoneInfo
) -> None:
    """Refuse a due dose that there is not.

    Args:
        prescription: what the vet wrote.
        due_at: the dose that is meant.
        zone: whose local days count.

    Raises:
        DoseError: no dose is due at that instant; the sentence names those of the
            day.
    """
    near = "none is due on that day"
    # Asked only near what is prescribed: far away a local day may not even exist.
    if prescription.first_at <= due_at < prescription.first_at + LONGEST:
        on = due_at.astimezone(zone).date()
        due = doses_due(prescription, zone=zone, from_on=on, until_on=on)
        if due_at in due:
            return
        near = _shown(due, zone) or near
    raise DoseError(
        f"No dose of {prescription.drug} is due at {due_at:%Y-%m-%d %H:%M %Z}: {near}.",
        fields={"due_at": near},
    )


def _shown(due: Sequence[datetime], zone: ZoneInfo) -> str:
    clock = ", ".join(f"{at.astimezone(zone):%Y-%m-%d %H:%M}" for at in due)
    return f"due that day: {clock}" if clock else ""


def check_not_early(
    prescription: PrescriptionFact, *, due_at: datetime, at: datetime, zone: ZoneInfo
) -> None:
    """Refuse what is said of a dose more than one interval before it is due.

    Raises:
        DoseError: the sentence says from when on it can be recorded.
    """
    from_at = due_at - timedelta(hours=prescription.every_hours)
    if at < from_at:
        raise DoseError(
            f"The dose due at {due_at.astimezone(zone):%Y-%m-%d %H:%M} is more than "
            f"{prescription.every_hours} hours away. From "
            f"{from_at.astimezone(zone):%Y-%m-%d %H:%M} on it can be recorded.",
            fields={"due_at": "one of the doses due before it"},
        )


def check_given(
    prescription: PrescriptionFact,
    *,
    others: Sequence[PrescriptionFact],
    given_at: datetime,
    zone: ZoneInfo,
) -> None:
    """Refuse a dose after the end of a prescription, or close to another one.

    Args:
        prescription: with the doses on record, struck-out ones left out.
        others: the animal's other prescriptions of the same drug, stopped ones too:
            what was given by an order that another one replaced is in it still.
        given_at: when it was given, or is about to be.
        zone: whose clock is shown.

    Raises:
        DoseError: it was stopped by then, or less than half an interval (of two
            prescriptions the shorter one) lies between this and another dose given.

    Source:
        care-task-convention: half an interval, so that nobody doubles up.
    """
    stopped_at = prescription.stopped_at
    if stopped_at is not None and given_at >= stopped_at:
        raise DoseError(
            f"{prescription.drug} was stopped at "
            f"{stopped_at.astimezone(zone):%Y-%m-%d %H:%M}; nothing is given any more.",
            fields={"given_at": "before it was stopped"},
        )
    for one in (prescription, *others):
        _check_apart(one, prescription.every_hours, given_at=given_at, zone=zone)


def _check_apart(
    prescription: PrescriptionFact,
    every_hours: int,
    *,
    given_at: datetime,
    zone: ZoneInfo,
) -> None:
    every_hours = min(every_hours, prescription.every_hours)
    least = timedelta(hours=every_hours) / 2
    for dose in prescription.doses:
        given = dose.outcome is DoseOutcome.GIVEN
        if given and abs(dose.at - given_at) < least:
            raise DoseError(
                f"A dose of {prescription.drug} is on record at "
                f"{dose.at.astimezone(zone):%Y-%m-%d %H:%M}, less than half of the "
                f"{every_hours} hours away. Never double up: give "
                "nothing now. If it was given already, call a licensed reptile vet "
                "at once and record it as a note of the animal.",
                fields={"given_at": "half an interval from any other dose"},
            )


def check_why(why: str) -> None:
    """Refuse a dose that was not given without a word why.

    Raises:
        DoseError: it is blank, or longer than 300 characters.
    """
    if not why.strip():
        raise DoseError(
            "Say why the dose was not given: the vet will ask.",
            fields={"why": "not blank"},
        )
    check_note(why, field="why")


def check_note(note: str, *, field: str) -> None:
    """Refuse a note of more than 300 characters.

    Raises:
        DoseError: it is longer.
    """
    if len(note.strip()) > LONGEST_NOTE:
        raise DoseError(
            f"The {field} has {len(note.strip())} characters; at most {LONGEST_NOTE} "
            "are kept.",
            fields={field: f"at most {LONGEST_NOTE} characters"},
        )
