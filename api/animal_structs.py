"""Animals going in and coming out: registered, mended, moved, and shown."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Annotated, Any, Literal

from django.db.models import F, QuerySet
from django.utils import timezone
from msgspec import UNSET, Meta, UnsetType

from api.care_structs import Text
from api.row_lists import RefusedRow
from api.structs import In, Instant, Out, Ref
from husbandry.models import Animal, Stay
from husbandry.queries.weights import last_weighings
from husbandry.rules.vocabulary import (
    AnimalStatus,
    Confidence,
    DatePrecision,
    Origin,
    Sex,
    SexBasis,
)
from husbandry.rules.weights import WeighingPoint

CODE = Annotated[str, Meta(max_length=20, description="As on its label.")]
NAME = Annotated[str, Meta(max_length=80)]
CHIP = Annotated[
    str, Meta(max_length=40, description="As the reader shows it; empty: none.")
]
ORIGIN_NOTE = Annotated[
    Text, Meta(description="Kept, and never answered: it may tell of people.")
]
HATCHED = Annotated[
    date | None, Meta(description="Hatched or born; null: not known. See precision.")
]


class AnimalIn(In, frozen=True, kw_only=True):
    """An animal that is in care from a day on; it has no enclosure yet."""

    code: CODE
    species: Annotated[str, Meta(description="Code of the species.")]
    arrived_on: Annotated[date, Meta(description="First local day in care here.")]
    name: NAME = ""
    sex: Sex = Sex.UNKNOWN
    sex_basis: SexBasis = SexBasis.NOT_SEXED
    sex_confidence: Confidence = Confidence.UNCERTAIN
    hatched_on: HATCHED = None
    hatched_precision: DatePrecision = DatePrecision.UNKNOWN
    dam: Annotated[
        str | None,
        Meta(description="Code of its mother; in a list also of an earlier row."),
    ] = None
    sire: Annotated[
        str | None,
        Meta(description="Code of its father; in a list also of an earlier row."),
    ] = None
    origin: Origin = Origin.UNKNOWN
    origin_note: ORIGIN_NOTE = ""
    microchip: CHIP = ""
    notes: Text = ""


class AnimalCorrectionIn(In, frozen=True, kw_only=True):
    """What should be on record of an animal; what is left out stays."""

    reason: Annotated[
        str, Meta(min_length=1, max_length=300, description="What was wrong or known.")
    ]
    code: CODE | UnsetType = UNSET
    species: Annotated[str, Meta(description="Its code.")] | UnsetType = UNSET
    arrived_on: date | UnsetType = UNSET
    name: NAME | UnsetType = UNSET
    sex: Sex | UnsetType = UNSET
    sex_basis: SexBasis | UnsetType = UNSET
    sex_confidence: Confidence | UnsetType = UNSET
    hatched_on: HATCHED | UnsetType = UNSET
    hatched_precision: DatePrecision | UnsetType = UNSET
    dam: Annotated[str | None, Meta(description="Code; null: none.")] | UnsetType = (
        UNSET
    )
    sire: Annotated[str | None, Meta(description="Code; null: none.")] | UnsetType = (
        UNSET
    )
    origin: Origin | UnsetType = UNSET
    origin_note: ORIGIN_NOTE | UnsetType = UNSET
    microchip: CHIP | UnsetType = UNSET
    notes: Text | UnsetType = UNSET


class LeaveIn(In, frozen=True, kw_only=True):
    """That an animal died or was lost."""

    status: Literal["dead", "lost"]
    on: Annotated[
        date | None, Meta(description="The local day; today unless given.")
    ] = None
    reason: Annotated[
        Text,
        Meta(description="How it came about, as far as known; needed for a death."),
    ] = ""
    euthanised_by: Annotated[
        str,
        Meta(max_length=160, description="Licensed vet, where it was put to sleep."),
    ] = ""


class MoveIn(In, frozen=True, kw_only=True):
    """Where an animal is moved to."""

    to: Annotated[
        str | None,
        Meta(description="Code of the enclosure; null: out of the one it is in."),
    ]
    at: Annotated[
        Instant | None,
        Meta(description="When it was done; now unless given, never to come."),
    ] = None
    reason: Annotated[str, Meta(max_length=200)] = ""


class LatestWeighing(Out, frozen=True):
    """The newest weighing in force."""

    id: int
    at: Instant
    mass_g: Annotated[Decimal, Meta(description="Grams.")]


class AnimalOut(Out, frozen=True):
    """One animal."""

    about = Animal
    id: int
    code: str
    name: str
    species: Annotated[str, Meta(description="Code of the species.")]
    sex: Sex
    sex_basis: SexBasis
    sex_confidence: Confidence
    hatched_on: date | None
    hatched_precision: DatePrecision
    dam: Ref | None
    sire: Ref | None
    origin: Origin
    arrived_on: Annotated[
        date,
        Meta(
            description="First day in care here; of an ancestor elsewhere, the day on "
            "which it was put on record."
        ),
    ]
    status: AnimalStatus
    left_on: date | None
    microchip: str | None
    notes: str
    enclosure: Annotated[Ref | None, Meta(description="Where it lives now.")]
    latest_weighing: LatestWeighing | None


class LeftAnimal(AnimalOut, frozen=True):
    """An animal that has left, and what stands with that."""

    caution: Annotated[str, Meta(description="Show it wherever you show this.")]


class AnimalsReport(Out, frozen=True):
    """What became of each row of a list."""

    stored: int
    refused: tuple[RefusedRow, ...]
    animals: Annotated[
        tuple[Ref | None, ...],
        Meta(description="The animal that each row became; null: refused."),
    ]


def animal_rows() -> QuerySet[Animal]:
    """Return all animals, with the codes of what they refer to.

    A code each instead of a whole row: most of a list's time is making rows.
    """
    return Animal.objects.annotate(
        species_code=F("species__code"),
        dam_code=F("dam__code"),
        sire_code=F("sire__code"),
    )


def shown_animals(rows: Sequence[Animal]) -> list[AnimalOut]:
    """Return animals with enclosure and latest weight; two queries.

    Args:
        rows: of `animal_rows`.
    """
    ids = [row.pk for row in rows]
    places = _places(ids)
    weighings = last_weighings(animal_ids=ids, before_at=timezone.now())
    return [_shown(row, places.get(row.pk), weighings.get(row.pk)) for row in rows]


def _places(animal_ids: Sequence[int]) -> dict[int, Ref]:
    """Return where animals live now, by animal."""
    rows = Stay.objects.filter(animal__in=animal_ids, until_at__isnull=True)
    return {
        animal: Ref(id=enclosure, code=code)
        for animal, enclosure, code in rows.order_by("pk").values_list(
            "animal_id", "enclosure_id", "enclosure__code"
        )
    }


def _shown(row: Any, place: Ref | None, weighing: WeighingPoint | None) -> AnimalOut:
    """Return an animal as it is answered; `row` is one of `animal_rows`."""
    return AnimalOut(
        id=row.pk,
        code=row.code,
        name=row.name,
        species=row.species_code,
        sex=Sex(row.sex),
        sex_basis=SexBasis(row.sex_basis),
        sex_confidence=Confidence(row.sex_confidence),
        hatched_on=row.hatched_on,
        hatched_precision=DatePrecision(row.hatched_precision),
        dam=Ref(id=row.dam_id, code=row.dam_code) if row.dam_id else None,
        sire=Ref(id=row.sire_id, code=row.sire_code) if row.sire_id else None,
        origin=Origin(row.origin),
        arrived_on=row.arrived_on,
        status=AnimalStatus(row.status),
        left_on=row.left_on,
        microchip=row.microchip,
        notes=row.notes,
        enclosure=place,
        latest_weighing=_latest(weighing) if weighing else None,
    )


def _latest(weighing: WeighingPoint) -> LatestWeighing:
    return LatestWeighing(id=weighing.id, at=weighing.at, mass_g=weighing.mass_g)
