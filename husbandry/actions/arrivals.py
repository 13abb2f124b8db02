"""Take in young that hatched or were born here: many at once, all or none."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db import transaction

from core import audit
from core.constraints import promised
from core.models import Site, User
from core.zones import day_bounds
from husbandry.actions.animal_records import FIELDS
from husbandry.actions.staleness import mark_animals_stale
from husbandry.models import Animal, Enclosure, Species, Stay, Weighing
from husbandry.queries.animals import relative
from husbandry.queries.nurseries import nursery
from husbandry.rules.arrivals import ArrivalError, Housed, Young, check_young
from husbandry.rules.masses import round_mass
from husbandry.rules.parents import ParentError, Relative, check_parents
from husbandry.rules.vocabulary import (
    AnimalStatus,
    DatePrecision,
    Origin,
    Sex,
)

# A day that is over ends a minute before the next, so that what is recorded of it
# belongs to it.
LAST_MINUTE = timedelta(minutes=1)
VERB = "take_in_young"


@dataclass(frozen=True, slots=True)
class YoungRow:
    """One young animal.

    Attributes:
        label: how to name it in a sentence, such as `egg 3 of C-07`.
        code: as on its label; unique for ever.
        mass_g: grams; None: not weighed.
        confirmed: an unlikely mass was weighed again and is right.
        enclosure: where it is put; None: nowhere yet.
        dam, sire: None: not known.
    """

    label: str
    code: str
    mass_g: Decimal | None = None
    confirmed: bool = False
    enclosure: Enclosure | None = None
    dam: Animal | None = None
    sire: Animal | None = None
    name: str = ""


@transaction.atomic
def take_in_young(
    *,
    species: Species,
    site: Site,
    hatched_on: date,
    rows: Sequence[YoungRow],
    by: User | None,
    at: datetime,
) -> list[Animal]:
    """Register young that hatched or were born on a local day, weighed and housed.

    As many queries for ninety as for one. Their sex is not known yet. Of a day that
    is over they were weighed and housed at its end, as far as anybody can tell.
    Reviews that judged those days are marked stale.

    Args:
        species: of all of them.
        site: by whose clock the day is.
        hatched_on: today or earlier.
        rows: each of another animal; none does nothing.
        by: the person.
        at: now.

    Returns:
        The animals, in the order of the rows.

    Raises:
        ArrivalError: a sentence for each thing that is wrong: a code that is taken or
            no label, a mass that cannot be or is not confirmed, a full, retired or
            shared enclosure, a parent that cannot be.
    """
    if not rows:
        return []
    then_at = _then(hatched_on, site=site, at=at)
    enclosures = _locked([row.enclosure for row in rows if row.enclosure])
    held_to = nursery(
        species=species,
        codes=[row.code for row in rows],
        enclosures=enclosures,
        from_at=then_at,
        on=hatched_on,
    )
    housed, wrong = check_young(
        [_young(row) for row in rows], nursery=held_to, on=hatched_on
    )
    wrong += _wrong_parents(rows, species, hatched_on)
    if wrong:
        raise ArrivalError("\n".join(wrong), fields={"hatchlings": "see each line"})
    animals = _register(rows, species, hatched_on)
    _house(rows, animals, housed, then_at, by)
    weighed = _weigh(rows, animals, then_at, by, at)
    mark_animals_stale(since_at={animal.pk: then_at for animal in animals}, at=at)
    _tell(rows, animals, weighed, by, at)
    return animals


def _then(on: date, *, site: Site, at: datetime) -> datetime:
    """Return when they were weighed and housed: now, or as that day ended.

    Raises:
        ArrivalError: the day has not come.
    """
    start_s, end_s = day_bounds(on, zone=ZoneInfo(site.time_zone))
    if at.timestamp() < start_s:
        raise ArrivalError(
            f"{on:%d %b %Y} has not come yet at {site.name}.",
            fields={"hatched_on": "today or earlier"},
        )
    return min(at, datetime.fromtimestamp(end_s, UTC) - LAST_MINUTE)


def _locked(enclosures: Sequence[Enclosure]) -> list[Enclosure]:
    keys = {enclosure.pk for enclosure in enclosures}
    rows = Enclosure.objects.select_for_update(of=("self",)).filter(pk__in=keys)
    return list(rows.order_by("pk"))


def _young(row: YoungRow) -> Young:
    return Young(
        label=row.label,
        code=row.code.strip(),
        name=row.name.strip(),
        mass_g=row.mass_g,
        confirmed=row.confirmed,
        to=row.enclosure.pk if row.enclosure else None,
    )


def _wrong_parents(
    rows: Sequence[YoungRow], species: Species, hatched_on: date
) -> list[str]:
    """Hold each pair of parents to the rules once, however many young they have."""
    pairs = {(row.dam, row.sire): row for row in rows}
    wrong = []
    for (dam, sire), row in pairs.items():
        young = Relative(
            id=None,
            label=row.label,
            species=species.pk,
            sex=Sex.UNKNOWN,
            hatched_on=hatched_on,
            hatched_precision=DatePrecision.DAY,
        )
        try:
            check_parents(
                young,
                dam=relative(dam) if dam else None,
                sire=relative(sire) if sire else None,
                parents={},
                labels={},
            )
        except ParentError as refusal:
            wrong.append(refusal.sentence)
    return wrong


def _register(
    rows: Sequence[YoungRow], species: Species, hatched_on: date
) -> list[Animal]:
    taken = ArrivalError(
        "Somebody has registered an animal with one of these codes at this moment. "
        "Do it again: other codes are free.",
        fields={"code": "one that no animal ever had"},
    )
    with promised({"husbandry_animal_code": taken, "husbandry_animal.code": taken}):
        return Animal.objects.bulk_create(
            Animal(
                code=row.code.strip(),
                name=row.name.strip(),
                species=species,
                hatched_on=hatched_on,
                hatched_precision=DatePrecision.DAY.value,
                arrived_on=hatched_on,
                origin=Origin.BORN_HERE.value,
                status=AnimalStatus.IN_CARE.value,
                dam=row.dam,
                sire=row.sire,
            )
            for row in rows
        )


def _house(
    rows: Sequence[YoungRow],
    animals: Sequence[Animal],
    housed: Housed,
    then_at: datetime,
    by: User | None,
) -> None:
    occupied = ArrivalError(
        "One of the enclosures was taken by another animal at this moment. Look who "
        "lives there, then do it again.",
        fields={"enclosure": "an empty one"},
    )
    moved = [Stay(pk=stay, place=place) for stay, place in housed.given]
    with promised({"husbandry_stay_enclosure_not_shared": occupied}):
        Stay.objects.bulk_update(moved, ["place"])
        Stay.objects.bulk_create(
            Stay(
                animal=animal,
                enclosure=row.enclosure,
                place=place,
                from_at=then_at,
                moved_by=by,
            )
            for row, animal, place in zip(rows, animals, housed.places, strict=True)
            if row.enclosure is not None
        )


def _weigh(
    rows: Sequence[YoungRow],
    animals: Sequence[Animal],
    then_at: datetime,
    by: User | None,
    at: datetime,
) -> list[Weighing]:
    return Weighing.objects.bulk_create(
        Weighing(
            animal=animal,
            at=then_at,
            mass_g=round_mass(row.mass_g),
            note="Weighed again and confirmed." if row.confirmed else "",
            recorded_by=by,
            recorded_at=at,
        )
        for row, animal in zip(rows, animals, strict=True)
        if row.mass_g is not None
    )


def _tell(
    rows: Sequence[YoungRow],
    animals: Sequence[Animal],
    weighed: Sequence[Weighing],
    by: User | None,
    at: datetime,
) -> None:
    masses = {weighing.animal_id: weighing.mass_g for weighing in weighed}
    keys = {"species": "species_id", "dam": "dam_id", "sire": "sire_id"}
    audit.record_all(
        [
            audit.Deed(
                animal,
                VERB,
                after={
                    **{name: getattr(animal, keys.get(name, name)) for name in FIELDS},
                    "enclosure": row.enclosure.code if row.enclosure else None,
                    "mass_g": masses.get(animal.pk),
                },
            )
            for row, animal in zip(rows, animals, strict=True)
        ],
        by=by,
        at=at,
    )
