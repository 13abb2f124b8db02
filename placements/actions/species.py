"""Settle what an animal is that came without anybody knowing."""

from datetime import datetime

from django.db import transaction

from core import audit
from core.models import User
from husbandry.actions.animals import correct_animal
from husbandry.models import Animal, Species
from placements.models import Intake
from placements.rules.intakes import IntakeError
from placements.rules.newcomers import NOT_YET_KNOWN


@transaction.atomic
def settle_species(
    *, intake: Intake, species: Species, by: User | None, at: datetime, reason: str
) -> Intake:
    """Say what an animal is, by somebody who knows the species.

    Its record is mended where it says another species; from then on the care profile
    of the right one holds.

    Args:
        intake: by which it came, not sure of its species.
        species: what it is.
        by: the person.
        at: now.
        reason: by what it was recognised, and by whom.

    Raises:
        IntakeError: it is settled already, no reason, or the species is none.
        AnimalError: the animal cannot be of that species; see `correct_animal`.
    """
    if not reason.strip():
        raise IntakeError(
            "Say by what it was recognised.", fields={"reason": "not blank"}
        )
    if species.code == NOT_YET_KNOWN:
        raise IntakeError(
            "That is no species; give the one that it is.",
            fields={"species": "a species"},
        )
    animal = Animal.objects.select_for_update().get(pk=intake.animal_id)
    # An animal that came twice unsure is settled for both.
    unsure = Intake.objects.filter(animal=animal, species_sure=False)
    if not unsure.filter(pk=intake.pk).exists():
        raise IntakeError(
            f"The species of {animal} is settled already; mend its record if it is "
            "wrong.",
            fields={"intake": "one that is not sure"},
        )
    if animal.species_id != species.pk:
        correct_animal(
            animal=animal, by=by, at=at, reason=reason.strip(), species=species
        )
    unsure.update(species_sure=True)
    intake.refresh_from_db()
    audit.record(
        intake,
        verb="settle_species",
        by=by,
        at=at,
        before={"species_sure": False},
        after={"animal": animal.pk, "species": species.pk, "species_sure": True},
        reason=reason.strip(),
    )
    return intake
