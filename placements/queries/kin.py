"""Clutch-mates of an animal, and what they weighed."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from husbandry.models import Animal
from husbandry.queries.weights import weighings_by_animal
from husbandry.rules.growth.recorded import GrowthRecord, Recorded
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import AnimalStatus, DatePrecision, Sex
from husbandry.rules.weights import WeighingPoint
from placements.rules.packets.mates import mate_bands
from placements.rules.packets.records import MateBand


def mate_bands_of(
    *, animal: Animal, profile: Profile | None, at: datetime, zone: ZoneInfo
) -> tuple[MateBand, ...]:
    """Return what an animal's clutch-mates weighed at its ages; two queries.

    Args:
        animal: whose; without a known dam or day of hatching it has none.
        profile: whose policy says which mates count; None: none do.
        at: later weighings are left out.
        zone: whose local days count.
    """
    policy = profile.growth_policy if profile else None
    exactly = animal.hatched_precision == DatePrecision.DAY.value
    if policy is None or animal.dam_id is None or animal.hatched_on is None:
        return ()
    if not exactly:
        return ()
    within = timedelta(days=policy.mates_within_days)
    mates = list(
        Animal.objects.filter(
            dam=animal.dam_id,
            hatched_precision=DatePrecision.DAY.value,
            hatched_on__range=(animal.hatched_on - within, animal.hatched_on + within),
        )
        .exclude(pk=animal.pk)
        .order_by("pk")
    )
    points = weighings_by_animal(
        animal_ids=[animal.pk, *(mate.pk for mate in mates)], until_at=at
    )
    record = GrowthRecord(
        animal=_recorded(animal, points),
        mates=tuple(_recorded(mate, points) for mate in mates),
    )
    until_on: date = at.astimezone(zone).date()
    return mate_bands(record, policy=policy, until_on=until_on, zone=zone)


def _recorded(animal: Animal, points: dict[int, tuple[WeighingPoint, ...]]) -> Recorded:
    """Return an animal whose day of hatching is known, with its weighings."""
    return Recorded(
        id=animal.pk,
        code=animal.code,
        label=str(animal),
        sex=Sex(animal.sex),
        hatched_on=animal.hatched_on,
        hatched_about=animal.hatched_on,
        dam=animal.dam_id,
        sire=animal.sire_id,
        arrived_on=animal.arrived_on,
        in_care=animal.status == AnimalStatus.IN_CARE.value,
        weighings=points.get(animal.pk, ()),
    )
