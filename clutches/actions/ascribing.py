"""Ascribe animals that are on record already to the clutch they came from."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from django.db import transaction

from clutches.actions.egg_news import tell_of_hatching
from clutches.actions.egg_places import end_places
from clutches.actions.staleness import mark_eggs_stale
from clutches.models import CandidateSire, Clutch, Egg, Hatchling
from clutches.queries.eggs import lying
from clutches.queries.hatching import certain_sires
from clutches.queries.lineage import lineage_of
from clutches.rules.ascribing import Ascribed, Origins, check_ascribed
from clutches.rules.lineage.lineages import way_up
from clutches.rules.vocabulary import ClutchKind, EggState
from core import audit
from core.models import User
from core.zones import day_bounds
from husbandry.models import Animal
from husbandry.rules.vocabulary import DatePrecision


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
    hatched on the day the animal hatched, and lie nowhere from then on; reviews since
    are marked stale. Animals without a dam on record get the clutch's, and those
    without a sire or candidates of their own its sire where he is certain.

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
    clutch = (
        Clutch.objects.select_for_update(of=("self",))
        .select_related("site")
        .get(pk=clutch.pk)
    )
    eggs = {egg.number: egg for egg in clutch.eggs.select_related("clutch__site")}
    animals = [row.animal for row in rows]
    taken = list(Hatchling.objects.filter(clutch=clutch).select_related("egg"))
    known = {
        h.animal_id: h.clutch.code
        for h in Hatchling.objects.filter(animal__in=animals).select_related("clutch")
    }
    ways = _ways(clutch, animals)
    check_ascribed(
        _origins(clutch, eggs, taken), [_ascribed(row, known, ways) for row in rows]
    )
    found = Hatchling.objects.bulk_create(
        Hatchling(
            animal=row.animal,
            clutch=clutch,
            egg=eggs[row.egg] if row.egg is not None else None,
        )
        for row in rows
    )
    deeds = _hatch(rows, eggs, at=at)
    deeds += _give_parents(animals, clutch)
    deeds += [
        audit.Deed(
            hatchling,
            "ascribe_animals",
            after=audit.values(hatchling, "animal", "clutch", "egg"),
        )
        for hatchling in found
    ]
    audit.record_all(deeds, by=by, at=at)
    return found


def _ways(clutch: Clutch, animals: Sequence[Animal]) -> dict[int, tuple[str, ...]]:
    """Return how the parents of a clutch descend from animals; three queries."""
    sires = CandidateSire.objects.filter(clutch=clutch).values_list("sire_id")
    parents = [sire for (sire,) in sires]
    if clutch.dam_id is not None:
        parents.append(clutch.dam_id)
    lineage = lineage_of(animal_ids=parents)
    return {
        animal.pk: way
        for animal in animals
        for parent in parents
        if (way := way_up(lineage, parent, {animal.pk}))
    }


def _origins(
    clutch: Clutch, eggs: Mapping[int, Egg], taken: Sequence[Hatchling]
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
        pipped_on={n: egg.pipped_on for n, egg in eggs.items() if egg.pipped_on},
        hatched_on={n: egg.ended_on for n, egg in eggs.items() if egg.ended_on},
    )


def _ascribed(
    row: AscribedRow, known: Mapping[int, str], ways: Mapping[int, tuple[str, ...]]
) -> Ascribed:
    animal = row.animal
    return Ascribed(
        label=str(animal),
        species=animal.species_id,
        dam=animal.dam_id,
        hatched_on=animal.hatched_on,
        precision=DatePrecision(animal.hatched_precision),
        egg=row.egg,
        clutch=known.get(animal.pk, ""),
        way=ways.get(animal.pk, ()),
    )


def _hatch(
    rows: Sequence[AscribedRow], eggs: Mapping[int, Egg], *, at: datetime
) -> list[audit.Deed]:
    """Let the eggs that are named have hatched, each on its animal's day."""
    hatched, deeds = [], []
    for row in rows:
        if row.egg is None or eggs[row.egg].state == EggState.HATCHED:
            continue
        egg = eggs[row.egg]
        before = audit.values(egg, "state", "ended_on")
        egg.state, egg.ended_on = EggState.HATCHED.value, row.animal.hatched_on
        after = audit.values(egg, "state", "ended_on")
        deeds.append(audit.Deed(egg, "set_egg", before=before, after=after))
        hatched.append(egg)
    if not hatched:
        return []
    keys = [egg.pk for egg in hatched]
    Egg.objects.bulk_update(hatched, ["state", "ended_on"])
    end_places(hatched, lying(egg_ids=keys), at=at)
    zone = ZoneInfo(hatched[0].clutch.site.time_zone)
    since_on = min(egg.ended_on for egg in hatched if egg.ended_on is not None)
    since_at = datetime.fromtimestamp(day_bounds(since_on, zone=zone)[0], UTC)
    mark_eggs_stale(egg_ids=keys, since_at=since_at, at=at)
    tell_of_hatching(hatched, at=at)
    return deeds


def _give_parents(animals: Sequence[Animal], clutch: Clutch) -> list[audit.Deed]:
    """Give the clutch's dam and its certain sire to those without on record."""
    sire = certain_sires(clutches=[clutch]).get(clutch.pk)
    own = CandidateSire.objects.filter(animal__in=animals)
    known = set(own.values_list("animal", flat=True))
    deeds = []
    for animal in animals:
        before = {"dam": animal.dam_id, "sire": animal.sire_id}
        if animal.dam_id is None:
            animal.dam_id = clutch.dam_id
        if animal.sire_id is None and animal.pk not in known and sire is not None:
            animal.sire_id = sire.pk
        after = {"dam": animal.dam_id, "sire": animal.sire_id}
        changed = [name for name in after if before[name] != after[name]]
        if changed:
            deeds.append(
                audit.Deed(
                    animal,
                    "correct_animal",
                    before={name: before[name] for name in changed},
                    after={name: after[name] for name in changed},
                    reason=f"Ascribed to {clutch.code}.",
                )
            )
    Animal.objects.bulk_update(animals, ["dam", "sire"])
    return deeds
