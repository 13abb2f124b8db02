"""Whom an animal descends from, place by place, and its young."""

from datetime import date
from typing import Annotated

from msgspec import Meta

from api.structs import Asked, Out, Ref, ref
from clutches.queries.pedigrees import YoungLine, pedigree_of, young_of
from clutches.rules.pedigrees.ancestry import (
    MOST_GENERATIONS,
    USUAL_GENERATIONS,
    Kin,
    Place,
)
from clutches.rules.pedigrees.records import ParentRole
from husbandry.models import Animal
from husbandry.rules.vocabulary import AnimalStatus, DatePrecision, Sex

MOST_YOUNG = 500
SHARE = Meta(description="More than 0, at most 1.")


class PedigreeAsked(Asked, frozen=True):
    """How far up."""

    generations: Annotated[
        int,
        Meta(ge=1, le=MOST_GENERATIONS, description="Generations of ancestors."),
    ] = USUAL_GENERATIONS


class PossibleSireOut(Out, frozen=True):
    """A male of a set of whom one is the sire."""

    sire: Ref
    probability: Annotated[float, SHARE]


class PedigreePlaceOut(Out, frozen=True):
    """One place of a pedigree; an animal reached by two ways has two."""

    path: Annotated[
        tuple[ParentRole, ...],
        Meta(description="The way up: dam, sire is the dam's sire; none: the animal."),
    ]
    animal: Annotated[
        Ref | None, Meta(description="null: not known, or one of the candidates.")
    ]
    name: str
    sex: Sex
    hatched_on: date | None
    hatched_precision: DatePrecision
    candidates: Annotated[
        tuple[PossibleSireOut, ...], Meta(description="The likeliest first.")
    ]
    mark: Annotated[
        str, Meta(description="A letter that all places of one animal share, or empty.")
    ]


class YoungOut(Out, frozen=True):
    """One of an animal's young."""

    id: int
    label: str
    sex: Sex
    hatched_on: date | None
    status: AnimalStatus
    other_parent: str
    probability: Annotated[
        float, Meta(description="1: on record; less: it is one of several candidates.")
    ]


class PedigreeOut(Out, frozen=True):
    """An animal's ancestors and young."""

    animal: Ref | None
    generations: int
    inbreeding: Annotated[
        float, Meta(description="F, 0 to 1, by all ancestors on record.")
    ]
    lower_bound: Annotated[
        bool, Meta(description="true: a parent is not known, so F may be higher.")
    ]
    expected: Annotated[
        bool, Meta(description="true: F is the mean over candidate sires.")
    ]
    places: Annotated[
        tuple[PedigreePlaceOut, ...],
        Meta(description="Each animal before its parents, the dam's side first."),
    ]
    young: Annotated[
        tuple[YoungOut, ...], Meta(description="The youngest first, at most 500.")
    ]
    young_in_all: int


def shown_pedigree(animal: Animal, *, asked: PedigreeAsked) -> PedigreeOut:
    """Return an animal's pedigree as it is answered."""
    found = pedigree_of(animal_id=animal.pk, generations=asked.generations)
    young, many = young_of(animal_id=animal.pk, most=MOST_YOUNG)
    return PedigreeOut(
        animal=ref(animal),
        generations=asked.generations,
        inbreeding=found.inbreeding.value,
        lower_bound=found.inbreeding.at_least,
        expected=found.inbreeding.expected,
        places=tuple(map(_place, found.places)),
        young=tuple(map(_young, young)),
        young_in_all=many,
    )


def _place(place: Place) -> PedigreePlaceOut:
    kin = place.kin
    return PedigreePlaceOut(
        path=place.path,
        animal=_ref(kin) if kin else None,
        name=kin.name if kin else "",
        sex=kin.sex if kin else Sex.UNKNOWN,
        hatched_on=kin.hatched_on if kin else None,
        hatched_precision=kin.hatched_precision if kin else DatePrecision.UNKNOWN,
        candidates=tuple(
            PossibleSireOut(sire=_ref(one.kin), probability=one.probability)
            for one in place.candidates
        ),
        mark=place.mark,
    )


def _ref(kin: Kin) -> Ref:
    return Ref(id=kin.id, code=kin.code)


def _young(one: YoungLine) -> YoungOut:
    return YoungOut(
        id=one.id,
        label=one.label,
        sex=one.sex,
        hatched_on=one.hatched_on,
        status=one.status,
        other_parent=one.other,
        probability=one.probability,
    )
