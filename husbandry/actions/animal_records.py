"""What is on record of an animal: taken in, held to the rules, saved."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any, TypedDict

from django.db.models import Max, Q

from core.constraints import promised
from husbandry.models import Animal, Species
from husbandry.queries.animals import pedigree, relative
from husbandry.rules.animals import AnimalError, check_code, check_dates
from husbandry.rules.microchips import MicrochipError, MicrochipKind, check_microchip
from husbandry.rules.parents import check_parents
from husbandry.rules.sexes import Sexing, check_sexing
from husbandry.rules.vocabulary import (
    Confidence,
    DatePrecision,
    Origin,
    Sex,
    SexBasis,
)

# The latest local day on Earth is that of UTC+14.
FURTHEST_ZONE = timedelta(hours=14)
_REFERENCES = ("species", "dam", "sire")
_WORDS = (Sex, SexBasis, Confidence, DatePrecision, Origin)


class AnimalDetails(TypedDict, total=False):
    """What can be on record of an animal beside code, species and arrival.

    `microchip` is 15 or 10 digits, spaces and dashes allowed; "" for none.
    """

    name: str
    sex: Sex
    sex_basis: SexBasis
    sex_confidence: Confidence
    hatched_on: date | None
    hatched_precision: DatePrecision
    dam: Animal | None
    sire: Animal | None
    origin: Origin
    origin_note: str
    microchip: str
    notes: str


class AnimalChanges(AnimalDetails, total=False):
    """What can be mended; the species too, if it was taken for another."""

    code: str
    species: Species
    arrived_on: date


FIELDS = (
    "code",
    "species",
    "arrived_on",
    "name",
    "sex",
    "sex_basis",
    "sex_confidence",
    "hatched_on",
    "hatched_precision",
    "dam",
    "sire",
    "origin",
    "origin_note",
    "microchip",
    "notes",
)


def set_details(animal: Animal, details: AnimalDetails | AnimalChanges) -> None:
    """Put what was given into a record that is not saved yet."""
    for name, value in details.items():
        setattr(animal, name, _stored(name, value))
    animal.code, animal.name = animal.code.strip(), animal.name.strip()


def _stored(name: str, value: Any) -> Any:
    if name == "microchip":
        return _microchip(value) if value else None
    return value.value if isinstance(value, _WORDS) else value


def _microchip(text: str) -> str:
    chip = check_microchip(text)
    if chip.kind is MicrochipKind.TEST:
        raise MicrochipError(
            f"{chip.digits} is a test number (code 999); no animal carries it. Read "
            "the chip again.",
            fields={"microchip": "a number of a country or maker"},
        )
    return chip.digits


def on_record(animal: Animal, *more: str) -> dict[str, Any]:
    """Return what is on record of an animal, without reading what it refers to."""
    return {
        name: getattr(animal, f"{name}_id" if name in _REFERENCES else name)
        for name in (*FIELDS, *more)
    }


def check_details(animal: Animal, *, at: datetime) -> None:
    """Hold a record that is not saved yet to every rule about animals."""
    check_itself(animal, at=at)
    _check_parents(animal)


def check_itself(animal: Animal, *, at: datetime) -> None:
    """Hold a record to the rules that ask for no other animal; no query."""
    check_code(animal.code)
    check_dates(
        arrived_on=animal.arrived_on,
        hatched_on=animal.hatched_on,
        precision=DatePrecision(animal.hatched_precision),
        today=(at + FURTHEST_ZONE).date(),
    )
    check_sexing(
        Sexing(
            Sex(animal.sex),
            SexBasis(animal.sex_basis),
            Confidence(animal.sex_confidence),
        )
    )


def check_came_after(animal: Animal) -> None:
    """Refuse a day of arrival before an earlier time in care was over."""
    left_on = animal.earlier_care.aggregate(last=Max("left_on"))["last"]
    if left_on is not None and animal.arrived_on < left_on:
        raise AnimalError(
            f"{animal} was in care before, until {left_on:%d %b %Y}; it cannot have "
            f"come again on {animal.arrived_on:%d %b %Y}.",
            fields={"arrived_on": f"{left_on} or later"},
        )


def _check_parents(animal: Animal) -> None:
    dam, sire = animal.dam, animal.sire
    if dam is None and sire is None:
        return
    line = pedigree(animal_ids=[p.pk for p in (dam, sire) if p is not None])
    check_parents(
        relative(animal),
        dam=relative(dam) if dam else None,
        sire=relative(sire) if sire else None,
        parents=line.parents,
        labels=line.labels,
    )


def check_young(animal: Animal) -> None:
    """Refuse a change after which the animal cannot be its young's parent."""
    young = Animal.objects.filter(Q(dam=animal) | Q(sire=animal))
    for child in young.select_related("dam", "sire"):
        as_dam = child.dam_id == animal.pk
        check_parents(
            relative(child),
            dam=relative(animal) if as_dam else None,
            sire=None if as_dam else relative(animal),
            parents={},
            labels={},
        )


def code_taken(animal: Animal) -> AnimalError:
    """Return the refusal of a label that another animal has or had."""
    return AnimalError(
        f"There is an animal {animal.code} already, in care or not; labels must "
        "differ for ever.",
        fields={"code": "one that no animal ever had"},
    )


def chip_taken(animal: Animal) -> MicrochipError:
    """Return the refusal of a chip that another animal carries."""
    return MicrochipError(
        f"Another animal carries the chip {animal.microchip} on record. Read both "
        "again.",
        fields={"microchip": "one that no other animal carries"},
    )


def save_animal(animal: Animal) -> None:
    """Save a record; a label or chip that another animal has is refused."""
    taken, chipped = code_taken(animal), chip_taken(animal)
    with promised(
        {
            "husbandry_animal_code": taken,
            "husbandry_animal.code": taken,
            "husbandry_animal_microchip": chipped,
            "husbandry_animal.microchip": chipped,
        }
    ):
        animal.save()


def save_animals(animals: Sequence[Animal]) -> list[Animal]:
    """Save many records at once; each was held to the rules before.

    Raises:
        AnimalError: somebody has taken one of the codes or chips in the meantime;
            then none is saved.
    """
    taken = AnimalError(
        "Somebody has registered an animal with one of these codes or chips at this "
        "moment. Look at it, then do it again.",
        fields={"code": "one that no animal ever had"},
    )
    promises = (
        *("husbandry_animal_code", "husbandry_animal.code"),
        *("husbandry_animal_microchip", "husbandry_animal.microchip"),
    )
    with promised(dict.fromkeys(promises, taken)):
        return Animal.objects.bulk_create(animals)
