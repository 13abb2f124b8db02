"""Record what a female laid or bore."""

from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db import transaction

from clutches.actions.clutch_corrections import ClutchChanges, correct_clutch
from clutches.actions.clutch_records import FIELDS, brought_by, check_clutch
from clutches.actions.dams import laid_at, note_on_dam, put_forward_sires
from clutches.actions.eggs import place_eggs
from clutches.models import Clutch, Egg, EggBox, IncubationPlan, Pairing
from clutches.rules.layings.counts import ClutchError
from clutches.rules.vocabulary import ClutchKind
from core import audit
from core.models import Site, User
from core.zones import day_bounds
from husbandry.actions.staleness import mark_animal_stale, mark_stale
from husbandry.models import Animal, Species

__all__ = [
    "ClutchChanges",
    "ClutchError",
    "LayingResult",
    "correct_clutch",
    "record_birth",
    "record_laying",
]


@dataclass(frozen=True, slots=True)
class LayingResult:
    """A clutch that is kept, and what is worth a second look; sentences."""

    clutch: Clutch
    remarks: tuple[str, ...]


@transaction.atomic
def record_laying(
    *,
    code: str,
    dam: Animal | None,
    species: Species,
    site: Site,
    laid_on: date,
    eggs_set: int,
    eggs_infertile: int,
    eggs_broken: int,
    mass_g: Decimal | None,
    plan: IncubationPlan | None,
    pairing: Pairing | None,
    note: str,
    by: User | None,
    at: datetime,
    box: EggBox | None = None,
) -> LayingResult:
    """Record a clutch of eggs; those that are kept are numbered from 1.

    The dam's gravid spell ends with that day, that she finished laying is observed,
    and a sex that was not known is female from now on. Who may be the sire is put
    forward from the males she met. Reviews from that day on are marked stale. As many
    queries for one egg as for many.

    Args:
        code: as on its label, up to 20 characters; unique for ever.
        dam: None: eggs of an unknown female.
        species: of the eggs.
        site: where the clutch is.
        laid_on: local day of the site; today or earlier.
        eggs_set: how many are kept to incubate.
        eggs_infertile: how many were infertile to be seen.
        eggs_broken: how many were broken; 1 to 500 in all.
        mass_g: of all that was laid, grams; None: not weighed.
        plan: how they are kept; None: as the care profile wants.
        pairing: of the dam; None: no male, which is as normal, or none that is known.
        note: up to 300 characters.
        by: the person.
        at: now.
        box: where those that are kept are put, in order on free places; None: nowhere.

    Raises:
        ClutchError: something of it cannot be.
        PlacingError: the box has too few free places.
    """
    clutch = Clutch(
        code=code,
        kind=ClutchKind.EGGS.value,
        species=species,
        site=site,
        dam=_locked(dam),
        pairing=pairing,
        laid_on=laid_on,
        eggs_set=eggs_set,
        eggs_infertile=eggs_infertile,
        eggs_broken=eggs_broken,
        mass_g=mass_g,
        plan=plan,
        note=note,
    )
    remarks = _keep(clutch, verb="record_laying", by=by, at=at)
    eggs = Egg.objects.bulk_create(
        Egg(clutch=clutch, number=number) for number in range(1, eggs_set + 1)
    )
    if box is not None and eggs:
        placed_at = laid_at(clutch, at=at)
        place_eggs(eggs=eggs, box=box, places=None, placed_at=placed_at, by=by, at=at)
    return LayingResult(clutch, remarks)


@transaction.atomic
def record_birth(
    *,
    code: str,
    dam: Animal | None,
    species: Species,
    site: Site,
    born_on: date,
    born_alive: int,
    born_dead: int,
    mass_g: Decimal | None,
    pairing: Pairing | None,
    note: str,
    by: User | None,
    at: datetime,
) -> LayingResult:
    """Record live young; there are no eggs. See `record_laying` for the rest.

    Args:
        code: as on its label.
        dam: None: of an unknown female.
        species: one that bears live young.
        site: where.
        born_on: local day of the site; today or earlier.
        born_alive: how many; each is registered as an animal of its own.
        born_dead: how many; 1 to 500 in all.
        mass_g: of all that was born, grams; None: not weighed.
        pairing: of the dam, or None.
        note: up to 300 characters.
        by: the person.
        at: now.

    Raises:
        ClutchError: something of it cannot be, or the species lays eggs.
    """
    clutch = Clutch(
        code=code,
        kind=ClutchKind.LIVE_YOUNG.value,
        species=species,
        site=site,
        dam=_locked(dam),
        pairing=pairing,
        laid_on=born_on,
        born_alive=born_alive,
        born_dead=born_dead,
        mass_g=mass_g,
        note=note,
    )
    remarks = _keep(clutch, verb="record_birth", by=by, at=at)
    return LayingResult(clutch, remarks)


def _locked(dam: Animal | None) -> Animal | None:
    """Lock a dam until the end of the transaction, so that nothing is noted twice."""
    if dam is None:
        return None
    return Animal.objects.select_for_update(no_key=True).get(pk=dam.pk)


def _keep(
    clutch: Clutch, *, verb: str, by: User | None, at: datetime
) -> tuple[str, ...]:
    remarks = check_clutch(clutch, at=at)
    clutch.note = clutch.note.strip()
    clutch.recorded_by, clutch.recorded_at = by, at
    clutch.save(force_insert=True)
    audit.record(clutch, verb=verb, by=by, at=at, after=audit.values(clutch, *FIELDS))
    remark = note_on_dam(clutch, total=brought_by(clutch).total, by=by, at=at)
    put_forward_sires(clutch, by=by, at=at)
    mark_stale(site_ids=[clutch.site_id], from_on=clutch.laid_on, at=at)
    if clutch.dam is not None:
        start_s, _ = day_bounds(clutch.laid_on, zone=ZoneInfo(clutch.site.time_zone))
        since_at = datetime.fromtimestamp(start_s, UTC)
        mark_animal_stale(animal=clutch.dam, since_at=since_at, at=at)
    return (*remarks, remark) if remark else remarks
