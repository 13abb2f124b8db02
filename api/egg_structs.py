"""Eggs as they are sent and answered."""

from datetime import date
from typing import Annotated

from msgspec import Meta

from api.care_structs import Small
from api.structs import In, Instant, Out, Ref
from clutches.models import Egg
from clutches.rules.eggs.mending import Mended
from clutches.rules.vocabulary import EggState, FailureCause

CAUSE = Annotated[
    FailureCause | None, Meta(description="Why, where it failed; null otherwise.")
]
PLACES = Annotated[
    Annotated[str, Meta(max_length=300)] | None,
    Meta(
        description="Such as `A1-C3`, `rows 1-3`, `column B`, `all`, several with "
        "commas between; filled in that order. null: the free ones, from the back."
    ),
]


class EggName(In, frozen=True, kw_only=True):
    """One egg, as its clutch's label and its number say."""

    clutch: Annotated[str, Meta(description="Code of the clutch.")]
    number: Annotated[Small, Meta(description="From 1 within its clutch.")]


class EggChangeIn(EggName, frozen=True, kw_only=True):
    """What became of one egg."""

    state: EggState
    cause: CAUSE = None
    note: Annotated[str, Meta(max_length=200)] = ""


class EggsSetIn(In, frozen=True, kw_only=True):
    """What became of eggs on one day."""

    eggs: tuple[EggChangeIn, ...]
    on: Annotated[
        date | None,
        Meta(description="Local day of the clutches; today unless given."),
    ] = None


class EggsPlacedIn(In, frozen=True, kw_only=True):
    """Where eggs were put."""

    eggs: Annotated[tuple[EggName, ...], Meta(description="In the order of places.")]
    box: Annotated[str, Meta(description="Code of the box.")]
    places: PLACES = None
    at: Annotated[Instant | None, Meta(description="When; now unless given.")] = None


class EggsMovedIn(EggsPlacedIn, frozen=True, kw_only=True):
    """Where eggs were moved."""

    box: Annotated[  # type: ignore[assignment] # wider than where eggs are placed
        str | None, Meta(description="Code of the box; null: out of their boxes.")
    ]
    reason: Annotated[str, Meta(max_length=200)] = ""


class EggStandingIn(In, frozen=True, kw_only=True):
    """How an egg ought to stand on record."""

    state: EggState
    pipped_on: date | None = None
    ended_on: date | None = None
    cause: CAUSE = None


class EggMendIn(EggStandingIn, frozen=True, kw_only=True):
    """How one egg ought to stand on record, and what was wrong."""

    reason: Annotated[
        str, Meta(min_length=1, max_length=200, description="What was wrong.")
    ]


class EggMendedIn(EggStandingIn, frozen=True, kw_only=True):
    """How one of many eggs ought to stand on record."""

    clutch: Annotated[str, Meta(description="Code of the clutch.")]
    number: Annotated[Small, Meta(description="From 1 within its clutch.")]


class EggsMendedIn(In, frozen=True, kw_only=True):
    """How eggs ought to stand on record, and what was wrong with all of them."""

    eggs: tuple[EggMendedIn, ...]
    reason: Annotated[
        str, Meta(min_length=1, max_length=200, description="What was wrong.")
    ]


class EggOut(Out, frozen=True):
    """One egg."""

    about = Egg
    id: int
    clutch: Ref | None
    number: int
    state: EggState
    pipped_on: date | None
    ended_on: date | None
    cause: CAUSE
    note: str
    box: Annotated[str | None, Meta(description="Code; null: it lies in none.")]
    place: Annotated[
        str | None, Meta(description="Column letter and row number, such as `B3`.")
    ]


class EggsOut(Out, frozen=True):
    """Eggs as they stand now, in the order in which they were sent."""

    eggs: tuple[EggOut, ...]
    remarks: Annotated[
        tuple[str, ...], Meta(description="What to know of them although it is kept.")
    ] = ()


def mended(given: EggStandingIn) -> Mended:
    """Return how an egg ought to stand, as the rules know it."""
    return Mended(given.state, given.pipped_on, given.ended_on, given.cause)
