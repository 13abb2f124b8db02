"""Hatch a box: eggs become animals that are registered, weighed and housed, at once."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from clutches.actions.eggs import EggChange, set_eggs
from clutches.actions.sexing import SpurCheckRow, record_spur_checks
from clutches.models import Clutch, Egg, EggBox, Hatchling
from clutches.queries.eggs import egg_name
from clutches.queries.hatching import (
    certain_sires,
    codes_for,
    early_hatches,
    eggs_elsewhere,
    young_beyond_eggs,
)
from clutches.rules.eggs.states import EggError
from clutches.rules.hatching.refusals import mixed_species, too_many_young
from clutches.rules.vocabulary import ClutchKind, EggState, Heel
from core import audit
from core.errors import DomainError
from core.models import User
from husbandry.actions.arrivals import YoungRow, take_in_young
from husbandry.models import Animal, Enclosure
from husbandry.rules.arrivals import ArrivalError


class HatchingError(DomainError):
    """Eggs cannot hatch, or young be taken in, as given; a sentence a line."""

    code = "hatching_refused"


@dataclass(frozen=True, slots=True)
class HatchlingRow:
    """One hatchling.

    Attributes:
        egg: that it came from.
        code: as on its label; "": the next free one of its clutch.
        name: or "".
        mass_g: grams; None: not weighed.
        confirmed: an unlikely mass was weighed again and is right.
        enclosure: where it is put; None: nowhere yet.
        heels: what was seen at the left and the right one; None: nobody looked.
    """

    egg: Egg
    code: str = ""
    name: str = ""
    mass_g: Decimal | None = None
    confirmed: bool = False
    enclosure: Enclosure | None = None
    heels: tuple[Heel, Heel] | None = None


@dataclass(frozen=True, slots=True)
class BornRow:
    """One that was born alive; see `HatchlingRow`."""

    code: str = ""
    name: str = ""
    mass_g: Decimal | None = None
    confirmed: bool = False
    enclosure: Enclosure | None = None
    heels: tuple[Heel, Heel] | None = None


@dataclass(frozen=True, slots=True)
class Hatched:
    """What came of hatching a box.

    Attributes:
        young: what ties each animal to its egg and clutch, in the order of the rows.
        remarks: a sentence for each clutch that hatched implausibly early.
    """

    young: tuple[Hatchling, ...]
    remarks: tuple[str, ...]


@transaction.atomic
def hatch_box(
    *,
    box: EggBox,
    hatched_on: date,
    rows: Sequence[HatchlingRow],
    by: User | None,
    at: datetime,
) -> Hatched:
    """Hatch eggs of one box on one local day; all of them or none.

    Each egg becomes an animal with a code, the clutch's dam, its sire where he is
    certain, its hatch date, mass and enclosure, and whoever hatches the box has looked
    at its heels where that is said. As many queries for ninety eggs as for one.

    Args:
        box: in which they lie.
        hatched_on: today or earlier, after the laying.
        rows: each about another egg.
        by: the person.
        at: now.

    Returns:
        The young, and what is worth a second look.

    Raises:
        HatchingError: everything that is wrong, a sentence a line: an egg of another
            box, one that has ended, more young than eggs, a day before the laying, and
            whatever `take_in_young` refuses.
    """
    _check_some(rows)
    eggs = list(
        Egg.objects.filter(pk__in=[row.egg.pk for row in rows])
        .select_related("clutch__site", "clutch__species", "clutch__dam")
        .order_by("pk")
    )
    known = {egg.pk: egg for egg in eggs}
    species = {egg.clutch.species_id: str(egg.clutch.species) for egg in eggs}
    wrong = mixed_species(list(species.values()))
    wrong += [
        f"{name} does not lie in box {box.code}; look in which box it is."
        for name in eggs_elsewhere(box=box, eggs=eggs)
    ]
    wrong += young_beyond_eggs(eggs=eggs)
    rows = [replace(row, egg=known[row.egg.pk]) for row in rows]
    changes = [EggChange(row.egg, EggState.HATCHED) for row in rows]
    try:
        set_eggs(changes=changes, on=hatched_on, by=by, at=at)
    except EggError as refusal:
        wrong += refusal.sentence.splitlines()
    codes = codes_for(wanted=[(row.egg.clutch, row.code) for row in rows])
    young = [
        _young(row, row.egg.clutch, code, label=egg_name(row.egg))
        for row, code in zip(rows, codes, strict=True)
    ]
    animals = _taken_in(
        [row.egg.clutch for row in rows], young, hatched_on, wrong, by, at
    )
    tied = _tied(
        [(row.egg.clutch, row.egg) for row in rows], animals, "hatch_box", by, at
    )
    _look(rows, animals, by, at)
    clutches = {egg.clutch_id: egg.clutch for egg in eggs}
    remarks = early_hatches(clutches=list(clutches.values()), on=hatched_on)
    return Hatched(tuple(tied), remarks)


@transaction.atomic
def house_young(
    *, clutch: Clutch, rows: Sequence[BornRow], by: User | None, at: datetime
) -> list[Hatchling]:
    """Register the young of a live-bearer's clutch; all of them or none.

    Args:
        clutch: of live young; they were born on its day.
        rows: no more than were born alive and are not registered yet.
        by: the person.
        at: now.

    Returns:
        What ties each animal to the clutch, in the order of the rows.

    Raises:
        HatchingError: a clutch of eggs, too many young, and whatever
            `take_in_young` refuses.
    """
    _check_some(rows)
    clutch = (
        Clutch.objects.select_for_update(of=("self",))
        .select_related("site", "species", "dam")
        .get(pk=clutch.pk)
    )
    wrong = too_many_young(
        code=clutch.code,
        kind=ClutchKind(clutch.kind),
        born_alive=clutch.born_alive,
        registered=Hatchling.objects.filter(clutch=clutch).count(),
        given=len(rows),
    )
    codes = codes_for(wanted=[(clutch, row.code) for row in rows])
    young = [
        _young(row, clutch, code, label=f"young {number} of {clutch.code}")
        for number, (row, code) in enumerate(zip(rows, codes, strict=True), start=1)
    ]
    animals = _taken_in([clutch] * len(rows), young, clutch.laid_on, wrong, by, at)
    tied = _tied([(clutch, None)] * len(rows), animals, "house_young", by, at)
    _look(rows, animals, by, at)
    return tied


def _look(
    rows: Sequence[HatchlingRow | BornRow],
    animals: Sequence[Animal],
    by: User | None,
    at: datetime,
) -> None:
    """Record what was seen at heels, by whoever hatched the box.

    Raises:
        HatchingError: a look that cannot be, such as of a species without the mark.
    """
    looked = [
        (SpurCheckRow(animal.code, at, *row.heels), animal)
        for row, animal in zip(rows, animals, strict=True)
        if row.heels is not None
    ]
    if not looked:
        return
    results = record_spur_checks(rows=[r for r, _ in looked], by=by, recorded_at=at)
    wrong = dict.fromkeys(r.sentence for r in results if r.record is None)
    if wrong:
        raise HatchingError("\n".join(wrong), fields={"heels": "see each line"})


def _check_some(rows: Sequence[object]) -> None:
    if not rows:
        raise HatchingError(
            "Name at least one egg or young.", fields={"hatchlings": "at least one"}
        )


def _young(
    row: HatchlingRow | BornRow, clutch: Clutch, code: str, *, label: str
) -> YoungRow:
    return YoungRow(
        label=label,
        code=code,
        name=row.name,
        mass_g=row.mass_g,
        confirmed=row.confirmed,
        enclosure=row.enclosure,
        dam=clutch.dam,
    )


def _taken_in(
    clutches: Sequence[Clutch],
    young: Sequence[YoungRow],
    on: date,
    wrong: list[str],
    by: User | None,
    at: datetime,
) -> list[Animal]:
    """Take the young in, and refuse them together with all that is wrong besides."""
    sires = certain_sires(clutches=clutches)
    rows = [
        replace(row, sire=sires.get(clutch.pk))
        for row, clutch in zip(young, clutches, strict=True)
    ]
    animals: list[Animal] = []
    try:
        animals = take_in_young(
            species=clutches[0].species,
            site=clutches[0].site,
            hatched_on=on,
            rows=rows,
            by=by,
            at=at,
        )
    except ArrivalError as refusal:
        wrong = [*wrong, *refusal.sentence.splitlines()]
    if wrong:
        told = "\n".join(dict.fromkeys(wrong))
        raise HatchingError(told, fields={"hatchlings": "see each line"})
    return animals


def _tied(
    sources: Sequence[tuple[Clutch, Egg | None]],
    animals: Sequence[Animal],
    verb: str,
    by: User | None,
    at: datetime,
) -> list[Hatchling]:
    found = Hatchling.objects.bulk_create(
        Hatchling(animal=animal, clutch=clutch, egg=egg)
        for (clutch, egg), animal in zip(sources, animals, strict=True)
    )
    audit.record_all(
        [
            audit.Deed(
                hatchling,
                verb,
                after=audit.values(hatchling, "animal", "clutch", "egg"),
            )
            for hatchling in found
        ],
        by=by,
        at=at,
    )
    return found
