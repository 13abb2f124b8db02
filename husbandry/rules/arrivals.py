"""Whether young that hatched or were born here can be taken in as given, all at once."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from core.errors import DomainError
from husbandry.rules.animals import AnimalError, check_code
from husbandry.rules.masses import ImpossibleMassError, round_mass
from husbandry.rules.profiles.values import CompanyRule, IncubationRule
from husbandry.rules.stays import (
    Destination,
    EnclosureOccupiedError,
    MoveError,
    Mover,
    Occupant,
    check_move,
    find_places,
)
from husbandry.rules.vocabulary import AnimalStatus

LONGEST_NAME = 80


class ArrivalError(DomainError):
    """Young cannot be taken in as given; a sentence a line."""

    code = "arrival_refused"


@dataclass(frozen=True, slots=True)
class Young:
    """One that hatched or was born, as it is to be taken in.

    Attributes:
        label: how to name it in a sentence, such as `egg 3 of C-07`.
        mass_g: None: not weighed.
        confirmed: a mass outside the plausible band was weighed again.
        to: key of the enclosure it is put into; None: into none yet.
    """

    label: str
    code: str
    name: str
    mass_g: Decimal | None
    confirmed: bool
    to: int | None


@dataclass(frozen=True, slots=True)
class Nursery:
    """What young are held to.

    Attributes:
        species: key.
        taken: codes that animals have already.
        masses: which masses are plausible on the first day; None: not said.
        company: whether so young an animal may live with others; None: not said.
        enclosures: where they are put, by key.
        occupants: who lives there.
    """

    species: int
    taken: frozenset[str]
    masses: IncubationRule | None
    company: CompanyRule | None
    enclosures: Mapping[int, Destination]
    occupants: Mapping[int, Sequence[Occupant]]


@dataclass(frozen=True, slots=True)
class Housed:
    """Who gets which place.

    Attributes:
        places: of each young one in its order; None: it has the whole enclosure, or
            is put into none.
        given: (stay, place) of occupants that had the whole of theirs so far.
    """

    places: tuple[int | None, ...]
    given: tuple[tuple[int, int], ...]


def check_young(
    young: Sequence[Young], *, nursery: Nursery, on: date
) -> tuple[Housed, list[str]]:
    """Find a place for each of the young, and say everything that is wrong.

    Args:
        young: all that are taken in at once.
        nursery: what they are held to.
        on: the local day.

    Returns:
        Who gets which place, and a sentence for each thing that is wrong; places are
        of use only where nothing is.

    Source:
        weight-plausibility-convention: a mass outside the profile's band is asked
        about; the profile's rows name their own sources.
    """
    wrong = [text for one in young for text in _wrong(one, nursery)]
    twice = Counter(one.code for one in young)
    wrong += [
        f"The code {code} is given {times} times; each animal has a code of its own."
        for code, times in twice.items()
        if times > 1
    ]
    housed, crowded = _housed(young, nursery, on)
    return housed, [*wrong, *crowded]


def _wrong(one: Young, nursery: Nursery) -> Iterator[str]:
    try:
        check_code(one.code)
    except AnimalError as refusal:
        yield f"{one.label}: {refusal.sentence}"
    if one.code in nursery.taken:
        yield (
            f"{one.label}: there is an animal {one.code} already; labels must differ "
            "for ever."
        )
    if len(one.name) > LONGEST_NAME:
        yield f"{one.label}: the name is longer than {LONGEST_NAME} characters."
    if one.mass_g is not None:
        yield from _wrong_mass(one, one.mass_g, nursery.masses)


def _wrong_mass(
    one: Young, mass_g: Decimal, band: IncubationRule | None
) -> Iterator[str]:
    try:
        mass = round_mass(mass_g)
    except ImpossibleMassError as refusal:
        yield f"{one.label}: {refusal.sentence}"
        return
    low, high = (band.low, band.high) if band else (None, None)
    outside = (low is not None and mass < low) or (high is not None and mass > high)
    if outside and not one.confirmed:
        yield (
            f"{one.label}: {mass} g is not plausible for a hatchling; "
            f"{low} to {high} g would be. Weigh again; if it is right, confirm it."
        )


def _housed(
    young: Sequence[Young], nursery: Nursery, on: date
) -> tuple[Housed, list[str]]:
    """Put one after the other into its enclosure, each beside those before it."""
    living = {key: list(there) for key, there in nursery.occupants.items()}
    places: list[int | None] = []
    given: dict[int, int] = {}
    wrong: dict[str, None] = {}
    for number, one in enumerate(young):
        place = None
        if one.to is not None:
            there = living.setdefault(one.to, [])
            try:
                place = _placed(one, number, nursery, there, given, on)
            except MoveError as refusal:
                wrong[refusal.sentence] = None
        places.append(place)
    # A young one may have got its place only when the next came.
    final = tuple(given.pop(_stand_in(n), p) for n, p in enumerate(places))
    return Housed(final, tuple(given.items())), list(wrong)


def _stand_in(number: int) -> int:
    """Return the key of a stay that is not on record yet: below all that are."""
    return -1 - number


def _placed(
    one: Young,
    number: int,
    nursery: Nursery,
    there: list[Occupant],
    given: dict[int, int],
    on: date,
) -> int | None:
    to = nursery.enclosures[one.to or 0]
    mover = Mover(
        label=one.label,
        species=nursery.species,
        status=AnimalStatus.IN_CARE,
        enclosure=None,
        enclosure_code="",
        since_at=None,
        last_until_at=None,
        company=nursery.company,
    )
    check_move(mover, to=to, moved_on=on)
    try:
        found = find_places(mover, to=to, occupants=there)
    except EnclosureOccupiedError:
        raise EnclosureOccupiedError(_crowded(to, there, nursery.company)) from None
    for stay, place in found.given:
        given[stay] = place
        index = next(i for i, o in enumerate(there) if o.stay == stay)
        there[index] = replace(there[index], place=place)
    there.append(
        Occupant(
            stay=_stand_in(number),
            label=one.label,
            species=nursery.species,
            place=found.mover,
            company=nursery.company,
        )
    )
    return found.mover


def _crowded(
    to: Destination, there: Sequence[Occupant], company: CompanyRule | None
) -> str:
    """Return one sentence for an enclosure, whoever comes too many."""
    most = 1 if company is None or company.alone else company.max_group
    return (
        f"{to.code} would hold more than may live together: at so young an age the "
        f"care profile allows {most} of one species, and {len(there)} would be there "
        "already. Put some into another enclosure."
    )
