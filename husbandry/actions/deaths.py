"""Record how an animal died, and later what a necropsy said."""

from datetime import date, datetime

from django.db import transaction

from core import audit
from core.models import User
from husbandry.actions.animals import mark_left
from husbandry.models import Animal, Death
from husbandry.queries.stays import local_day_of
from husbandry.rules.animals import AnimalError
from husbandry.rules.vocabulary import AnimalStatus

LONGEST_NAME = 160
_NECROPSY = ("necropsy_on", "necropsy_by", "necropsy")


class DeathError(AnimalError):
    """A death cannot be recorded as given."""

    code = "death_refused"


@transaction.atomic
def record_death(
    *,
    animal: Animal,
    on: date,
    circumstances: str,
    euthanised_by: str,
    by: User | None,
    at: datetime,
) -> Death:
    """Record that an animal died: its stay ends, and it is in care no more.

    Args:
        animal: in care, or marked as dead on that day without an account of it.
        on: local day of death or of being found dead; see `mark_left`.
        circumstances: how, as far as it is known.
        euthanised_by: the licensed vet, where it was put to sleep; else "".
        by: the person.
        at: now.

    Returns:
        The death.

    Raises:
        DeathError: nothing said of how, a name that is too long, or a death that is
            on record already.
        AnimalError: it left otherwise, or the day cannot be.
    """
    circumstances, euthanised_by = circumstances.strip(), euthanised_by.strip()
    if not circumstances:
        raise DeathError(
            "Say how it died or was found, as far as it is known.",
            fields={"circumstances": "not blank"},
        )
    _check_name("euthanised_by", euthanised_by)
    animal = Animal.objects.select_for_update().get(pk=animal.pk)
    known = Death.objects.filter(animal=animal).first()
    if known is not None:
        raise DeathError(
            f"The death of {animal} on {known.on:%d %b %Y} is on record already.",
            fields={"animal": "one whose death is not on record"},
        )
    if animal.status != AnimalStatus.DEAD:
        animal = mark_left(
            animal=animal,
            status=AnimalStatus.DEAD,
            on=on,
            by=by,
            at=at,
            reason=circumstances,
        )
    elif on != animal.left_on:
        raise DeathError(
            f"{animal} is marked as dead since {animal.left_on:%d %b %Y}; give that "
            "day.",
            fields={"on": str(animal.left_on)},
        )
    death = Death.objects.create(
        animal=animal,
        on=on,
        circumstances=circumstances,
        euthanised_by=euthanised_by,
        recorded_by=by,
        recorded_at=at,
    )
    audit.record(
        death,
        verb="record_death",
        by=by,
        at=at,
        after=audit.values(death, "animal", "on", "circumstances", "euthanised_by"),
        reason=circumstances,
    )
    return death


@transaction.atomic
def record_necropsy(
    *,
    death: Death,
    on: date,
    necropsy_by: str,
    necropsy: str,
    by: User | None,
    at: datetime,
) -> Death:
    """Record what a vet found after death, in the vet's words.

    Args:
        death: one without a necropsy.
        on: local day of the necropsy, from that of the death on, not to come.
        necropsy_by: the licensed vet or laboratory.
        necropsy: what was found.
        by: the person.
        at: now.

    Raises:
        DeathError: nobody or nothing is named, the day cannot be, or a necropsy is on
            record already.
    """
    necropsy_by, necropsy = necropsy_by.strip(), necropsy.strip()
    _check_name("necropsy_by", necropsy_by)
    for field, text in (("necropsy_by", necropsy_by), ("necropsy", necropsy)):
        if not text:
            raise DeathError(
                "Say who looked, and what was found, in the vet's words.",
                fields={field: "not blank"},
            )
    death = Death.objects.select_for_update(of=("self",)).get(pk=death.pk)
    if death.necropsy_on is not None:
        raise DeathError(f"The necropsy of {death.animal} is on record already.")
    today = local_day_of(animal=death.animal, at=at)
    if not death.on <= on <= today:
        raise DeathError(
            f"A necropsy on {on:%d %b %Y} cannot be: it died on {death.on:%d %b %Y}, "
            f"and today is {today:%d %b %Y}.",
            fields={"on": f"{death.on} to {today}"},
        )
    death.necropsy_on, death.necropsy_by, death.necropsy = on, necropsy_by, necropsy
    death.save(update_fields=_NECROPSY)
    audit.record(
        death,
        verb="record_necropsy",
        by=by,
        at=at,
        after=audit.values(death, *_NECROPSY),
    )
    return death


def _check_name(field: str, name: str) -> None:
    if len(name) > LONGEST_NAME:
        raise DeathError(
            f"A name has at most {LONGEST_NAME} characters; this one has {len(name)}.",
            fields={field: f"at most {LONGEST_NAME} characters"},
        )
