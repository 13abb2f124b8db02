"""Whether an animal on record can have come from a clutch on record."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from clutches.rules.vocabulary import ClutchKind, EggState
from core.errors import DomainError
from husbandry.rules.vocabulary import DatePrecision


class AscribingError(DomainError):
    """An animal cannot have come from a clutch, or not from that egg."""

    code = "ascribing_refused"


@dataclass(frozen=True, slots=True)
class Origins:
    """A clutch as animals are ascribed to it.

    Attributes:
        dam: key of the female, or None.
        eggs: state of each egg by its number; empty for live young.
        taken: numbers of eggs that an animal is on record for.
        room_left: how many more animals it can have brought forth.
        pipped_on, hatched_on: local day on which each egg pipped or hatched, by its
            number; absent: not seen, or not so.
    """

    code: str
    species: int
    dam: int | None
    kind: ClutchKind
    laid_on: date
    eggs: Mapping[int, EggState]
    taken: frozenset[int]
    room_left: int
    pipped_on: Mapping[int, date] = field(default_factory=dict)
    hatched_on: Mapping[int, date] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Ascribed:
    """An animal that is said to have come from a clutch.

    Attributes:
        egg: number of its egg; None: not known, or born alive.
        clutch: code of the clutch it is ascribed to already; "".
        way: how the clutch's dam or a possible sire descends from it; empty: they do
            not.
    """

    label: str
    species: int
    dam: int | None
    hatched_on: date | None
    precision: DatePrecision
    egg: int | None
    clutch: str
    way: tuple[str, ...] = ()


def check_ascribed(origins: Origins, animals: Sequence[Ascribed]) -> None:
    """Refuse animals that cannot have come from a clutch; all reasons at once.

    Args:
        origins: the clutch.
        animals: all that are ascribed to it in one go.

    Raises:
        AscribingError: a sentence a line: another species or dam, hatched before the
            laying, without a hatch date, ascribed already or twice, an ancestor of
            the clutch, an egg that the clutch does not have, that failed, that is
            another's or that pipped or hatched on a day that does not fit, or more
            animals than it had eggs.
    """
    wrong = [text for one in animals if (text := _wrong(origins, one))]
    labels = [one.label for one in animals]
    wrong += [
        f"{label} is given more than once; it came out of one egg."
        for label in sorted({one for one in labels if labels.count(one) > 1})
    ]
    named = [one.egg for one in animals if one.egg is not None]
    wrong += [
        f"Egg {number} of {origins.code} is given for more than one animal; each "
        "hatchling has an egg of its own."
        for number in sorted({n for n in named if named.count(n) > 1})
    ]
    if len(animals) > origins.room_left:
        wrong.append(
            f"{origins.code} can have brought forth {origins.room_left} more, and "
            f"{len(animals)} are given. Count again, or correct the clutch."
        )
    if wrong:
        raise AscribingError("\n".join(wrong), fields={"animals": "see each line"})


def _wrong(origins: Origins, one: Ascribed) -> str:
    if one.clutch:
        return f"{one.label} is ascribed to {one.clutch} already."
    if one.species != origins.species:
        return f"{one.label} is of another species than {origins.code}."
    if one.way:
        return (
            f"{origins.code} descends from {one.label} itself ({' ← '.join(one.way)}); "
            "it cannot have come from it. Correct one of these parents first."
        )
    if one.dam is not None and one.dam != origins.dam:
        return (
            f"{one.label} has another dam on record than {origins.code}; correct one "
            "of them first."
        )
    if one.hatched_on is None or one.precision is not DatePrecision.DAY:
        return (
            f"On which day {one.label} hatched is not on record; correct the animal "
            "first."
        )
    if one.hatched_on <= origins.laid_on and origins.kind is ClutchKind.EGGS:
        return (
            f"{one.label} hatched on {one.hatched_on:%d %b %Y}, not after "
            f"{origins.code} was laid ({origins.laid_on:%d %b %Y})."
        )
    return _wrong_egg(origins, one)


def _wrong_egg(origins: Origins, one: Ascribed) -> str:
    if origins.kind is ClutchKind.LIVE_YOUNG:
        if one.egg is not None:
            return f"{one.label} was born alive in {origins.code}; leave out the egg."
        if one.hatched_on != origins.laid_on:
            return (
                f"{one.label} was born on another day than {origins.code} "
                f"({origins.laid_on:%d %b %Y})."
            )
        return ""
    if one.egg is None:
        return ""
    if one.egg not in origins.eggs:
        return (
            f"{origins.code} has no egg {one.egg}; its eggs are numbered 1 to "
            f"{max(origins.eggs, default=0)}."
        )
    if one.egg in origins.taken:
        return f"Another animal is on record for egg {one.egg} of {origins.code}."
    if origins.eggs[one.egg] is EggState.FAILED:
        return (
            f"Egg {one.egg} of {origins.code} failed; mend the egg first if "
            f"{one.label} hatched from it."
        )
    return _wrong_day(origins, one, one.egg)


def _wrong_day(origins: Origins, one: Ascribed, egg: int) -> str:
    """Say where an animal and its egg are on record with days that do not fit."""
    if one.hatched_on is None:
        return ""
    pipped_on, hatched_on = origins.pipped_on.get(egg), origins.hatched_on.get(egg)
    if hatched_on is not None and hatched_on != one.hatched_on:
        did = f"hatched on {hatched_on:%d %b %Y}"
    elif pipped_on is not None and pipped_on > one.hatched_on:
        did = f"pipped on {pipped_on:%d %b %Y}"
    else:
        return ""
    return (
        f"Egg {egg} of {origins.code} {did} by what is on record, and {one.label} "
        f"hatched on {one.hatched_on:%d %b %Y}; mend the egg or correct the animal "
        "first."
    )
