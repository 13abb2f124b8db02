"""Animals of a delivery that are new, as they are to be registered."""

from collections.abc import Sequence
from datetime import date, datetime

from core.errors import DomainError
from husbandry.actions.animal_records import (
    AnimalDetails,
    check_details,
    set_details,
)
from husbandry.models import Animal, Species
from husbandry.rules.microchips import MicrochipError
from husbandry.rules.vocabulary import AnimalStatus, DatePrecision, Origin
from placements.actions.intake_rows import IntakeRow
from placements.rules.intakes import Problem, refused
from placements.rules.newcomers import NOT_YET_KNOWN, chip_digits
from placements.rules.vocabulary import IntakeSource

_ORIGINS = {
    IntakeSource.SURRENDER: Origin.SURRENDERED,
    IntakeSource.BORN_HERE: Origin.BORN_HERE,
}


def chip_given(row: IntakeRow) -> str:
    """Return the digits of the chip that is given; "" for none, or no number."""
    try:
        return chip_digits(row.microchip)
    except MicrochipError:
        return ""


def not_yet_known() -> Species:
    """Return the species of animals of which nobody knows what they are.

    It has no care profile: without a species nothing says what an animal needs.
    """
    species, _ = Species.objects.get_or_create(
        code=NOT_YET_KNOWN,
        defaults={
            "common_name": "Species not yet known",
            "scientific_name": "not determined",
            "notes": "Stands for animals whose species somebody still has to settle.",
        },
    )
    return species


def drafted(
    animals: Sequence[IntakeRow],
    *,
    source: IntakeSource,
    arrived_on: date,
    at: datetime,
) -> list[Animal]:
    """Return the new animals of a delivery, not saved, held to every rule about them.

    Args:
        animals: of the delivery; those that were here before are passed over.
        source: how they came; tells their origin where nothing else does.
        arrived_on: the local day.
        at: now.

    Raises:
        IntakeError: a sentence for each animal that cannot be as given.
    """
    unknown = None
    if any(one.again is None and one.species is None for one in animals):
        unknown = not_yet_known()
    drafts, problems = [], []
    for line, one in enumerate(animals):
        if one.again is not None:
            continue
        try:
            drafts.append(_draft(one, one.species or unknown, source, arrived_on, at))
        except DomainError as refusal:
            field, accepted = next(iter(refusal.fields.items()), ("", ""))
            problems.append(Problem(line, field, refusal.sentence, accepted))
    if problems:
        raise refused(problems, [one.label for one in animals])
    return drafts


def _draft(
    row: IntakeRow,
    species: Species | None,
    source: IntakeSource,
    arrived_on: date,
    at: datetime,
) -> Animal:
    animal = Animal(code=row.code, species=species, arrived_on=arrived_on)
    animal.status = AnimalStatus.IN_CARE.value
    set_details(animal, _details(row, source, arrived_on))
    check_details(animal, at=at)
    return animal


def _details(row: IntakeRow, source: IntakeSource, arrived_on: date) -> AnimalDetails:
    hatched_on, precision = row.hatched_on, row.hatched_precision
    if source is IntakeSource.BORN_HERE and hatched_on is None:
        hatched_on, precision = arrived_on, DatePrecision.DAY
    return AnimalDetails(
        name=row.name,
        sex=row.sexing.sex,
        sex_basis=row.sexing.basis,
        sex_confidence=row.sexing.confidence,
        hatched_on=hatched_on,
        hatched_precision=precision,
        origin=row.origin or _ORIGINS.get(source, Origin.UNKNOWN),
        origin_note=row.origin_note.strip(),
        microchip=row.microchip,
    )
