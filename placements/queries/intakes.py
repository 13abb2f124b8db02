"""What is known of animals that come, and of those that came."""

from collections.abc import Collection, Mapping
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from django.db.models import OuterRef, Q, Subquery

from core.models import Site
from core.zones import day_bounds
from husbandry.models import Animal, Stay
from husbandry.queries.animals import in_care_on
from husbandry.rules.microchips import MicrochipError
from husbandry.rules.vocabulary import AnimalStatus
from placements.models import Intake, Placement
from placements.queries.holds import hold_of
from placements.rules.intakes import UnsureSpecies
from placements.rules.newcomers import KnownAnimal, Records, chip_digits
from placements.rules.vocabulary import PlacementState

__all__ = [
    "by_code_or_chip",
    "hold_of",
    "records_of",
    "species_unsure",
    "still_placed",
]


def records_of(*, codes: Collection[str], chips: Collection[str]) -> Records:
    """Return the animals that have one of some codes or chips; one query.

    Args:
        codes: as on labels.
        chips: digits only; "" is passed over.
    """
    chips = [chip for chip in chips if chip]
    rows = Animal.objects.filter(Q(code__in=codes) | Q(microchip__in=chips))
    known = [known_animal(row) for row in rows.order_by("code")]
    return Records(
        by_code={one.code: one for one in known},
        by_chip={one.microchip: one for one in known if one.microchip},
    )


def by_code_or_chip(text: str) -> KnownAnimal | None:
    """Return the animal that has a code or carries a chip; one query.

    Args:
        text: the code as on its label, or the chip's number with or without spaces.
    """
    try:
        chip = chip_digits(text)
    except MicrochipError:
        chip = ""
    records = records_of(codes=[text.strip()], chips=[chip])
    return records.by_code.get(text.strip()) or records.by_chip.get(chip)


def known_animal(animal: Animal) -> KnownAnimal:
    """Return an animal as the rules about newcomers see it."""
    return KnownAnimal(
        id=animal.pk,
        code=animal.code,
        label=str(animal),
        status=AnimalStatus(animal.status),
        arrived_on=animal.arrived_on,
        left_on=animal.left_on,
        microchip=animal.microchip or "",
    )


def still_placed(*, animal_ids: Collection[int]) -> Mapping[int, Placement]:
    """Return the placement of each animal that was handed over and is not over.

    One query; of several the newest.
    """
    rows = (
        Placement.objects.filter(
            animal__in=animal_ids, state=PlacementState.HANDED_OVER.value
        )
        .select_related("animal")
        .order_by("handed_over_on", "pk")
    )
    return {row.animal_id: row for row in rows}


def species_unsure(*, site: Site, on: date) -> tuple[UnsureSpecies, ...]:
    """Return the animals in care of which nobody knows for sure what they are.

    One query. Who is sure is as known now; who was in care is as of the day.

    Args:
        site: where they lived when the day ended, or last; of those that had no
            enclosure yet, where they arrived.
        on: the local day.
    """
    _, end_s = day_bounds(on, zone=ZoneInfo(site.time_zone))
    end_at = datetime.fromtimestamp(end_s, UTC)
    last = Stay.objects.filter(animal=OuterRef("animal"), from_at__lt=end_at)
    where = last.order_by("-from_at", "-pk").values("enclosure__room__site")[:1]
    rows = (
        Intake.objects.filter(
            species_sure=False,
            arrival__arrived_at__lt=end_at,
            animal__in=Animal.objects.filter(in_care_on(on)).values("pk"),
        )
        .annotate(last_site=Subquery(where))
        .filter(Q(last_site=site.pk) | Q(last_site__isnull=True, arrival__site=site.pk))
        .order_by("animal__code", "arrival__arrived_at", "pk")
        .values_list(
            "animal_id",
            "arrival__arrived_at",
            "arrival__site__time_zone",
            "species_told",
        )
    )
    # The newest of an animal's intakes stays.
    found = {
        animal: UnsureSpecies(
            animal, arrived_at.astimezone(ZoneInfo(zone)).date(), told
        )
        for animal, arrived_at, zone, told in rows
    }
    return tuple(found.values())
