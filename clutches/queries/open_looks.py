"""Looks at heels as people read them: what they leave open, and all of one animal."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from django.core.files.storage import default_storage
from django.db.models import Exists, OuterRef

from clutches.models import SpurCheck
from clutches.queries.sexing import second_look_asked
from clutches.rules.sexing.looks import Look, Why, settle
from clutches.rules.vocabulary import Heel
from husbandry.models import Animal
from husbandry.rules.vocabulary import AnimalStatus, Confidence, SexBasis


@dataclass(frozen=True, slots=True)
class OpenLooks:
    """An animal whose looks do not settle its sex yet.

    Attributes:
        looks: in force, oldest first, each with who looked.
    """

    animal: Animal
    looks: tuple[SpurCheck, ...]
    why: Why


def open_looks(*, at: datetime) -> list[OpenLooks]:
    """Return animals in care whose looks leave something open; three queries.

    Those whose sex is known by something else than heels are left out.

    Args:
        at: now; by its day the policy is chosen, and nothing after it counts.
    """
    looks = SpurCheck.objects.filter(struck_at__isnull=True, at__lte=at)
    animals = list(
        Animal.objects.filter(
            Exists(looks.filter(animal=OuterRef("pk"))),
            sex_basis__in=[SexBasis.HEEL_SPUR.value, SexBasis.NOT_SEXED.value],
            status=AnimalStatus.IN_CARE,
        )
        .exclude(sex_confidence=Confidence.CONFIRMED.value)
        .select_related("species")
        .order_by("code")
    )
    second_look = second_look_asked(on=at.date())
    found: dict[int, list[SpurCheck]] = defaultdict(list)
    rows = looks.filter(animal__in=animals).select_related("looked_by")
    for row in rows.order_by("at", "pk"):
        found[row.animal_id].append(row)
    verdicts = [
        (animal, _why(found[animal.pk], second_look=second_look)) for animal in animals
    ]
    return [
        OpenLooks(animal, tuple(found[animal.pk]), why)
        for animal, why in verdicts
        if why is not None
    ]


def _why(rows: list[SpurCheck], *, second_look: bool) -> Why | None:
    looks = [
        Look(Heel(row.left), Heel(row.right), row.looked_by_id, row.at) for row in rows
    ]
    return settle(looks, second_look=second_look).why


def all_looks(*, animal: Animal) -> list[SpurCheck]:
    """Return every look at an animal's heels, newest first; one query.

    What was struck out is among them: as in a paper book it stays legible.
    """
    rows = SpurCheck.objects.filter(animal=animal).select_related("looked_by")
    return list(rows.order_by("-at", "-pk"))


def photo_of(*, check: SpurCheck) -> bytes | None:
    """Return the photograph of a look; None: there is none, or it was taken away."""
    name = check.photo.name or ""
    if not name or not default_storage.exists(name):
        return None
    with default_storage.open(name) as file:
        return bytes(file.read())
