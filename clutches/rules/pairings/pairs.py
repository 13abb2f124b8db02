"""Whether two animals can be paired, and from when until when."""

from dataclasses import dataclass
from datetime import date

from core.errors import DomainError
from husbandry.rules.animals import not_in_care
from husbandry.rules.vocabulary import AnimalStatus, Sex

LONGEST_REASON = 300


class PairingError(DomainError):
    """Two animals cannot be paired, or not on that day."""

    code = "pairing_refused"


@dataclass(frozen=True, slots=True)
class Partner:
    """One animal of a pair.

    Attributes:
        label: code and name, as people say them.
        arrived_on: its first day in care here.
    """

    id: int
    label: str
    species: int
    sex: Sex
    status: AnimalStatus
    arrived_on: date


def check_pair(dam: Partner, sire: Partner, *, planned_on: date, today: date) -> None:
    """Refuse a pair that cannot be.

    Only what cannot be is refused; what speaks against a pair is remarked.

    Args:
        dam: the female, or one whose sex is not known.
        sire: the male, or one whose sex is not known.
        planned_on: local day on which it was decided.
        today: the local day.

    Raises:
        PairingError: one animal twice, two species, a male dam, a female sire, one
            that is not in care or had not arrived, or a day to come.
    """
    if dam.id == sire.id:
        raise PairingError(
            f"{dam.label} cannot be paired with itself; name a female and a male.",
            fields={"sire": "another animal"},
        )
    if dam.species != sire.species:
        raise PairingError(
            f"{dam.label} and {sire.label} are of two species; a pair is of one.",
            fields={"sire": "an animal of the dam's species"},
        )
    for one, part, wrong in ((dam, "dam", Sex.MALE), (sire, "sire", Sex.FEMALE)):
        if one.sex is wrong:
            raise PairingError(
                f"{one.label} is on record as {wrong.value} and cannot be the {part}. "
                "Correct the sex first if that is wrong.",
                fields={part: f"an animal that is not {wrong.value}"},
            )
        if one.status is not AnimalStatus.IN_CARE:
            raise PairingError(
                not_in_care(one.label, one.status), fields={part: "an animal in care"}
            )
        if planned_on < one.arrived_on:
            raise PairingError(
                f"{one.label} arrived on {one.arrived_on:%d %b %Y}; a pair cannot be "
                f"planned here on {planned_on:%d %b %Y}.",
                fields={"planned_on": f"{one.arrived_on} or later"},
            )
    if planned_on > today:
        raise PairingError(
            f"{planned_on:%d %b %Y} has not come yet. Give the day on which it was "
            "decided, today or earlier.",
            fields={"planned_on": f"until {today}"},
        )


def check_pairing_reason(reason: str) -> None:
    """Refuse a reason of more than 300 characters.

    Raises:
        PairingError: it is longer.
    """
    if len(reason) > LONGEST_REASON:
        raise PairingError(
            f"The reason has {len(reason)} characters; at most {LONGEST_REASON} are "
            "kept.",
            fields={"reason": f"at most {LONGEST_REASON} characters"},
        )


def remarks_on_sexes(dam: Partner, sire: Partner) -> tuple[str, ...]:
    """Return what to mind about a pair whose sexes are not both known.

    Source:
        common-practice: two males fight, and so may two females.
    """
    return tuple(
        f"The sex of {one.label} is not known: it is paired as the {part}. Look at it "
        "before they meet; two males fight at once."
        for one, part in ((dam, "dam"), (sire, "sire"))
        if one.sex is Sex.UNKNOWN
    )


def check_end(
    label: str,
    *,
    planned_on: date,
    ended_on: date | None,
    last_met_on: date | None,
    on: date,
    today: date,
) -> None:
    """Refuse to end a pairing on a day that cannot be.

    Args:
        label: dam × sire.
        planned_on: when it began.
        ended_on: when it was ended already, or None.
        last_met_on: local day of the last introduction in force, or None.
        on: the day from which they are not put together again.
        today: the local day.

    Raises:
        PairingError: it is ended, the day is to come, or they met on it or later.
    """
    if ended_on is not None:
        raise PairingError(
            f"{label} was ended on {ended_on:%d %b %Y} already.",
            fields={"pairing": "one that is not ended"},
        )
    if on > today:
        raise PairingError(
            f"{on:%d %b %Y} has not come yet.", fields={"on": f"until {today}"}
        )
    least = planned_on if last_met_on is None else max(planned_on, last_met_on)
    if on < least:
        met = last_met_on is not None and last_met_on > planned_on
        raise PairingError(
            f"{label} {'met' if met else 'was planned'} on {least:%d %b %Y} and cannot "
            f"have been ended on {on:%d %b %Y}.",
            fields={"on": f"{least} or later"},
        )
