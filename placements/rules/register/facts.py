"""What is on record of an animal's comings and goings, and what it adds up to."""

from dataclasses import dataclass
from datetime import date

from husbandry.rules.vocabulary import AnimalStatus
from placements.rules.vocabulary import (
    Direction,
    IntakeCondition,
    IntakeSource,
    PlacementKind,
    PlacementState,
    RegisterHow,
)


@dataclass(frozen=True, slots=True)
class CareTime:
    """One time in care, as the animal's own row or an earlier one tells it.

    Attributes:
        left_on: None: it is in care.
        status: as what it left; in care where it did not.
    """

    arrived_on: date
    left_on: date | None
    status: AnimalStatus


@dataclass(frozen=True, slots=True)
class IntakeFact:
    """How an animal came, as its intake tells it.

    Attributes:
        on: local day of the site where it arrived.
        home: key of the home it came from; None: nobody is known.
        returns: key of the placement it came back from, or None.
    """

    arrival: int
    on: date
    source: IntakeSource
    home: int | None
    returns: int | None
    condition: IntakeCondition = IntakeCondition.NOT_JUDGED


@dataclass(frozen=True, slots=True)
class PlacementFact:
    """A placement by which an animal left.

    Attributes:
        planned_on: local day (UTC) on which it was planned.
        follows: key of the foster stay or loan that it makes lasting, or None.
    """

    id: int
    kind: PlacementKind
    state: PlacementState
    planned_on: date
    handed_over_on: date
    ended_on: date | None
    home: int | None
    follows: int | None


@dataclass(frozen=True, slots=True)
class AnimalRecord:
    """All that is on record of one animal's comings and goings.

    Attributes:
        species: code of it.
        born_here: it hatched or was born in care.
        times: in care, the earliest first; none of an ancestor that was never here.
        placements: those that were handed over.
        put_to_sleep: by a vet, as the account of its death says.
    """

    id: int
    code: str
    species: str
    scientific_name: str
    born_here: bool
    times: tuple[CareTime, ...]
    intakes: tuple[IntakeFact, ...] = ()
    placements: tuple[PlacementFact, ...] = ()
    put_to_sleep: bool = False


@dataclass(frozen=True, slots=True)
class Movement:
    """That an animal came or left.

    Attributes:
        home: key of the home it came from or went to, or None.
        arrival, placement: keys of what tells of it, or None.
    """

    animal: int
    direction: Direction
    on: date
    how: RegisterHow
    home: int | None = None
    arrival: int | None = None
    placement: int | None = None
