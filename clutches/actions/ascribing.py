"""Ascribe animals that are on record already to the clutch they came from."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db import transaction

from clutches.models import Clutch, Egg, EggPlace, Hatchling
from clutches.rules.ascribing import Ascribed, Origins, check_ascribed
from clutches.rules.vocabulary import ClutchKind, EggState
from core import audit
from core.models import User
from core.zones import day_bounds
from husbandry.models import Animal
from husbandry.rules.vocabulary import DatePrecision

# A spell in a place lasts; one that was recorded too late ends as soon as it began.
SHORTEST = timedelta(seconds=1)


@dataclass(frozen=True, slots=True)
class AscribedRow:
    """One animal, and the number of its egg where that is known."""

    animal: Animal
    egg: int | None = None


@transaction.atomic
def ascribe_animals(
    *,
    clutch: Clutch,
    rows: Sequence[AscribedRow],
    by: User | None,
    at: datetime,
) -> list[Hatchling]:
    """Say of animals on record that they came from a clutch; all of them or none.

    For what hatched before it was written down here. Eggs that are named become
    hatched on the day the animal hatched, and lie nowhere from then on; animals
    without a dam on record get the clutch's.

    Args:
        clutch: eggs or live young.
        rows: animals, each once.
        by: the person.
        at: now.

    Returns:
        What ties each animal to the clutch, in the order of the rows.

    Raises:
        AscribingError: see `check_ascribed`; all that is wrong at once.
    """
    clutch = Clutch.objects.select_for_update(of=("self",)).get(pk=clutch.pk)
    eggs = {egg.number: egg for egg in clutch.eggs.all()}
    taken = list(Hatchling.objects.filter(clutch=clutch).select_related("egg"))
    known = {
        h.animal_id: h.clutch.code
        for h in Hatchling.objects.filter(
            animal__in=[row.animal.pk for row in rows]
        ).select_related("clutch")
    }
    check_ascribed(
        _origins(clutch, eggs, taken), [_ascribed(row, known) for row in rows]
    )
    found = Hatchling.objects.bulk_create(
        Hatchling(
            animal=row.animal,
            clutch=clutch,
            egg=eggs[row.egg] if row.egg is not None else None,
        )
        for row in rows
    )
    _hatch(rows, eggs, clutch)
    audit.record_all(
        [
            *_give_dam([row.animal for row in rows], clutch),
            *(
                audit.Deed(
                    hatchling,
                    "ascribe_animals",
                    after=audit.values(hatchling, "animal", "clutch", "egg"),
                )
                for hatchling in found
            ),
        ],
        by=by,
        at=at,
    )
    return found


def _origins(
    clutch: Clutch, eggs: dict[int, Egg], taken: Sequence[Hatchling]
) -> Origins:
    kind = ClutchKind(clutch.kind)
    # Of those without an egg of their own any egg that has not failed may be it.
    able = sum(egg.state != EggState.FAILED for egg in eggs.values())
    born = clutch.born_alive if kind is ClutchKind.LIVE_YOUNG else able
    return Origins(
        code=clutch.code,
        species=clutch.species_id,
        dam=clutch.dam_id,
        kind=kind,
        laid_on=clutch.laid_on,
        eggs={number: EggState(egg.state) for number, egg in eggs.items()},
        taken=frozenset(h.egg.number for h in taken if h.egg is not None),
        room_left=max(born - len(taken), 0),
    )


def _ascribed(row: AscribedRow, known: dict[int, str]) -> Ascribed:
    animal = row.animal
    return Ascribed(
        label=str(animal),
        species=animal.species_id,
        dam=animal.dam_id,
        hatched_on=animal.hatched_on,
        precision=DatePrecision(animal.hatched_precision),
        egg=row.egg,
        clutch=known.get(animal.pk, ""),
    )


def _hatch(rows: Sequence[AscribedRow], eggs: dict[int, Egg], clutch: Clutch) -> None:
    hatched = []
    for row in rows:
        if row.egg is None or eggs[row.egg].state == EggState.HATCHED:
            continue
        egg = eggs[row.egg]
        egg.state, egg.ended_on = EggState.HATCHED.value, row.animal.hatched_on
        hatched.append(egg)
    Egg.objects.bulk_update(hatched, ["state", "ended_on"])
    zone = ZoneInfo(clutch.site.time_zone)
    places = EggPlace.objects.filter(egg__in=hatched, until_at__isnull=True)
    ended = []
    for place in places.select_related("egg"):
        on = place.egg.ended_on
        assert on is not None  # noqa: S101 - just set
        _, end_s = day_bounds(on, zone=zone)
        place.until_at = max(
            datetime.fromtimestamp(end_s, zone), place.from_at + SHORTEST
        )
        ended.append(place)
    EggPlace.objects.bulk_update(ended, ["until_at"])


def _give_dam(animals: Sequence[Animal], clutch: Clutch) -> list[audit.Deed]:
    """Give the clutch's dam to those without one on record."""
    without = [animal for animal in animals if animal.dam_id is None and clutch.dam_id]
    keys = [animal.pk for animal in without]
    Animal.objects.filter(pk__in=keys).update(dam=clutch.dam_id)
    return [
        audit.Deed(
            animal,
            "correct_animal",
            before={"dam": None},
            after={"dam": clutch.dam_id},
            reason=f"Ascribed to {clutch.code}.",
        )
        for animal in without
    ]
