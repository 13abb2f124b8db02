"""Whether a weighing can be recorded: held to what is known of its animal."""

from collections.abc import Collection, Sequence
from datetime import date, datetime

from core.errors import DomainError
from husbandry.models import Animal, Weighing
from husbandry.rules.animals import never_here
from husbandry.rules.returns import TimeAway, check_not_away
from husbandry.rules.vocabulary import AnimalStatus, DatePrecision

LONGEST_NOTE = 200


class WeighingError(DomainError):
    """A weighing cannot be recorded as given."""

    code = "weighing_refused"


def known_among(
    row: Weighing, others: Sequence[Weighing], *, corrected: Collection[int]
) -> Weighing | None:
    """Return the weighing that says the same; refuse one that does not.

    A corrected weighing counts too: a list sent in again must not undo or refuse
    what a person has mended since.

    Args:
        row: not on record yet.
        others: of the same animal and instant, the newest first.
        corrected: the keys of those that were corrected.

    Raises:
        WeighingError: another mass is, or was, on record for that instant.
    """
    for other in others:
        if other.mass_g == row.mass_g:
            return other
    for other in others:
        if other.pk not in corrected:
            raise other_mass(other)
    if others:
        raise WeighingError(
            f"{row.animal} had {others[0].mass_g} g on record at "
            f"{row.at:%Y-%m-%d %H:%M %Z}, which was corrected to another instant. It "
            "keeps its instant on record: give this weighing one a minute later.",
            fields={"at": "an instant that never had a weighing"},
        )
    return None


def other_mass(other: Weighing) -> WeighingError:
    """Return the refusal of a second mass for one instant."""
    return WeighingError(
        f"{other.animal} already has {other.mass_g} g on record at "
        f"{other.at:%Y-%m-%d %H:%M %Z}. Correct that weighing, or give the instant of "
        "the other one.",
        fields={"at": "an instant without a weighing"},
    )


def check_reason(reason: str) -> None:
    """Refuse a correction or a confirmation without a reason."""
    if not reason.strip():
        raise WeighingError(
            "Say why: an unlikely or corrected mass is kept with its reason.",
            fields={"reason": "not blank"},
        )
    check_length("reason", reason)


def check_length(name: str, text: str) -> None:
    """Refuse a text that is longer than what is kept."""
    if len(text) > LONGEST_NOTE:
        raise WeighingError(
            f"The {name} has {len(text)} characters; at most {LONGEST_NOTE} are kept.",
            fields={name: f"at most {LONGEST_NOTE} characters"},
        )


def check_weighed_at(
    animal: Animal,
    *,
    at: datetime,
    on: date,
    times: Sequence[TimeAway],
    recorded_at: datetime,
) -> None:
    """Refuse a weighing that cannot have been.

    Args:
        animal: who was weighed.
        at: when.
        on: the local day of that instant.
        times: when the animal was away, as far as they can hold that day.
        recorded_at: now.

    Raises:
        WeighingError: the instant is to come, lies before the animal hatched, after
            it left or while it was away.
    """
    if at > recorded_at:
        raise WeighingError(
            f"{at:%Y-%m-%d %H:%M %Z} has not come yet. Give the instant of weighing, "
            "now or earlier.",
            fields={"at": "now or earlier"},
        )
    if animal.status == AnimalStatus.ELSEWHERE:
        raise WeighingError(
            never_here(str(animal)), fields={"animal": "one that is or was in care"}
        )
    if animal.left_on is not None and on > animal.left_on:
        raise WeighingError(
            f"{animal} left on {animal.left_on:%d %b %Y}; it cannot have been weighed "
            f"here on {on:%d %b %Y}.",
            fields={"at": f"until {animal.left_on}"},
        )
    check_not_away(str(animal), on, times=times, error=WeighingError, field="at")
    if _hatched_after(animal, on):
        raise WeighingError(
            f"{animal} hatched on {animal.hatched_on:%d %b %Y}; it cannot have been "
            f"weighed on {on:%d %b %Y}.",
            fields={"at": f"from {animal.hatched_on} on"},
        )


def _hatched_after(animal: Animal, on: date) -> bool:
    exact = animal.hatched_precision == DatePrecision.DAY
    return exact and animal.hatched_on is not None and on < animal.hatched_on
