"""The words of a drawn pedigree, the same in the drawing, beside it and in the API."""

from collections.abc import Sequence
from dataclasses import dataclass

from clutches.rules.pedigrees.ancestry import Candidate, Kin, Place
from clutches.rules.pedigrees.records import ParentRole
from husbandry.rules.sentences.numbers import MONTHS
from husbandry.rules.vocabulary import DatePrecision, Sex

SEXES = {Sex.FEMALE: "female", Sex.MALE: "male", Sex.UNKNOWN: "sex not known"}


@dataclass(frozen=True, slots=True)
class Inbreeding:
    """An inbreeding coefficient, and what limits it.

    Attributes:
        value: from 0 to 1.
        at_least: some ancestor's parent is not known, so it may be higher.
        expected: it is averaged over candidate sires.
    """

    value: float
    at_least: bool
    expected: bool = False


def told_inbreeding(found: Inbreeding) -> str:
    """Return a coefficient with what limits it: `F at least 0.125`."""
    least = "at least " if found.at_least else ""
    mean = " on average over the candidate sires" if found.expected else ""
    return f"F {least}{found.value:.3f}{mean}"


def told_path(path: Sequence[ParentRole]) -> str:
    """Return a place in words: `dam's sire`; the animal itself is `itself`."""
    return "'s ".join(path) or "itself"


def told_hatched(kin: Kin) -> str:
    """Return when an animal hatched, as exactly as it is known; "" where it is not."""
    on = kin.hatched_on
    if on is None:
        return ""
    if kin.hatched_precision is DatePrecision.YEAR:
        return str(on.year)
    month = f"{MONTHS[on.month - 1]} {on.year}"
    return (
        month if kin.hatched_precision is DatePrecision.MONTH else f"{on.day} {month}"
    )


def told_share(share: float) -> str:
    """Return a likelihood in percent; what would round to nothing is less than 1."""
    percent = round(share * 100)
    return f"{percent} %" if percent else "less than 1 %"


def told_candidates(place: Place) -> tuple[str, ...]:
    """Return the candidates of a place, each with its likelihood, and what is missing."""
    told = [_candidate(one) for one in place.candidates]
    if place.missing:
        told.append(f"not known {told_share(place.missing)}")
    return tuple(told)


def _candidate(one: Candidate) -> str:
    return f"{one.kin.code} {told_share(one.probability)}"


def told_place(place: Place) -> str:
    """Return who stands in a place, in one line."""
    if place.kin is not None:
        return place.kin.label
    if place.candidates:
        return f"one of: {', '.join(told_candidates(place))}"
    return "not known"
