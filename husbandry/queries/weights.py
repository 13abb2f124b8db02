"""Weighings: those in force, and all of them with what corrected what."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db.models import Exists, OuterRef, Subquery

from husbandry.models import Animal, Stay, Weighing
from husbandry.queries.expressions import (
    EpochMicroseconds,
    Hundredths,
    decimal_of,
    instant_of,
)
from husbandry.rules.weights import WeighingPoint


@dataclass(frozen=True, slots=True)
class WeighingLine:
    """One weighing as people read it.

    Attributes:
        corrected_by: the weighing that replaced it, or None: it is in force.
    """

    id: int
    at: datetime
    mass_g: Decimal
    by: str
    recorded_at: datetime
    note: str
    corrects: int | None
    corrected_by: int | None


def weighings_by_animal(
    *, animal_ids: Collection[int], until_at: datetime
) -> dict[int, tuple[WeighingPoint, ...]]:
    """Return the weighings in force of many animals, oldest first; one query.

    Args:
        animal_ids: the animals; those never weighed are absent from the answer.
        until_at: later weighings are left out; one at that instant counts.
    """
    rows = (
        Weighing.objects.filter(
            # As a join it would be taken for a table without rows, and planned so.
            ~Exists(Weighing.objects.filter(corrects=OuterRef("pk"))),
            animal__in=animal_ids,
            at__lte=until_at,
        )
        .order_by("animal_id", "at", "pk")
        .values_list("animal_id", "pk", EpochMicroseconds("at"), Hundredths("mass_g"))
    )
    found: dict[int, list[WeighingPoint]] = defaultdict(list)
    for animal_id, pk, at_us, hundredths_g in rows:
        found[animal_id].append(
            WeighingPoint(pk, instant_of(at_us), decimal_of(hundredths_g))
        )
    return {animal_id: tuple(points) for animal_id, points in found.items()}


def last_weighings(
    *, animal_ids: Collection[int], before_at: datetime
) -> dict[int, WeighingPoint]:
    """Return the newest weighing in force of each animal before an instant; one query.

    Args:
        animal_ids: the animals; those without such a weighing are absent.
        before_at: a weighing at that instant does not count.
    """
    newest = Weighing.objects.filter(
        animal=OuterRef("pk"), at__lt=before_at, corrected_by__isnull=True
    ).order_by("-at", "-pk")
    # Asked once for each animal, not for each of its weighings.
    ids = Animal.objects.filter(pk__in=animal_ids).values(
        newest=Subquery(newest.values("pk")[:1])
    )
    rows = (
        Weighing.objects.filter(pk__in=ids)
        .order_by("animal_id")
        .values_list("animal_id", "pk", "at", "mass_g")
    )
    return {
        animal_id: WeighingPoint(pk, at, mass_g) for animal_id, pk, at, mass_g in rows
    }


def weighed_in_its_room(
    *, animal: Animal, before_at: datetime
) -> tuple[tuple[str, Decimal], ...]:
    """Return what the others in an animal's room weighed last; one query.

    Args:
        animal: itself left out; in no enclosure now: nobody is nearby.
        before_at: a weighing at that instant or later does not count.

    Returns:
        Code and name of each, as people say them, with its mass in grams, by code.
        Animals that were never weighed are absent.
    """
    open_stays = Stay.objects.filter(until_at__isnull=True)
    room = open_stays.filter(animal=animal).values("enclosure__room")
    newest = Weighing.objects.filter(
        animal=OuterRef("pk"), at__lt=before_at, corrected_by__isnull=True
    ).order_by("-at", "-pk")
    rows = (
        Animal.objects.filter(
            pk__in=open_stays.filter(enclosure__room__in=room).values("animal")
        )
        .exclude(pk=animal.pk)
        .annotate(last_g=Subquery(newest.values("mass_g")[:1]))
        .filter(last_g__isnull=False)
        .order_by("code")
        .values_list("code", "name", "last_g")
    )
    return tuple((f"{code} {name}".strip(), last_g) for code, name, last_g in rows)


def weighing_history(*, animal_id: int) -> tuple[WeighingLine, ...]:
    """Return every weighing of an animal, newest first, corrected ones too; one query."""
    rows = (
        Weighing.objects.filter(animal=animal_id)
        .select_related("recorded_by", "corrected_by")
        .order_by("-at", "-pk")
    )
    return tuple(
        WeighingLine(
            id=row.pk,
            at=row.at,
            mass_g=row.mass_g,
            by=str(row.recorded_by or ""),
            recorded_at=row.recorded_at,
            note=row.note,
            corrects=row.corrects_id,
            corrected_by=_corrected_by(row),
        )
        for row in rows
    )


def _corrected_by(row: Weighing) -> int | None:
    # Django raises where the other side of a one-to-one link is missing.
    return row.corrected_by.pk if hasattr(row, "corrected_by") else None
