"""A home's enclosure, what was measured in it, and what an animal would need there."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from core.zones import day_bounds, instant
from husbandry.models import Animal, Species
from husbandry.queries.needs import needs_on
from husbandry.queries.profiles import profile_in_force
from husbandry.rules.clock import LightTimes, LocalDay
from husbandry.rules.profiles.resolving import resolve_targets
from husbandry.rules.vocabulary import EnclosureKind, Reproduction, Sex
from placements.models import HomeEnclosure, HomeReading
from placements.rules.readiness.judging import judge
from placements.rules.readiness.measured import home_readings
from placements.rules.readiness.values import (
    AnimalNeeds,
    HomeDay,
    HomeReadings,
    HomeSetup,
    MatterState,
)
from placements.rules.vocabulary import UvbLamp

# What was measured longer ago says nothing of an enclosure that is being made ready.
LOOK_BACK = timedelta(days=30)


def judged_now(
    *, enclosure: HomeEnclosure, needs: AnimalNeeds, at: datetime
) -> tuple[MatterState, ...]:
    """Return how a home's enclosure compares at an instant; one query.

    Args:
        enclosure: which.
        needs: of the animal; see `needs_of` and `needs_of_kind`.
        at: now; what was measured in the 30 local days before counts.
    """
    return judge(
        setup_of(enclosure),
        needs,
        readings_of(enclosure=enclosure, at=at),
        days=home_days(enclosure=enclosure, at=at),
    )


def setup_of(enclosure: HomeEnclosure) -> HomeSetup:
    """Return an enclosure as the rules read it."""
    return HomeSetup(
        kind=EnclosureKind(enclosure.kind),
        width_cm=enclosure.width_cm,
        depth_cm=enclosure.depth_cm,
        height_cm=enclosure.height_cm,
        lights_on=enclosure.lights_on,
        lights_off=enclosure.lights_off,
        uvb_lamp=UvbLamp(enclosure.uvb_lamp),
        uvb_percent=enclosure.uvb_percent,
        uvb_distance_cm=enclosure.uvb_distance_cm,
        uvb_through_screen=enclosure.uvb_through_screen,
        laying_bin=enclosure.laying_bin,
        other_animals=enclosure.other_animals,
        sees_others=enclosure.sees_others,
        zone=ZoneInfo(enclosure.time_zone),
    )


def readings_since(*, enclosure: HomeEnclosure, at: datetime) -> datetime:
    """Return from when on readings of an enclosure count."""
    zone = ZoneInfo(enclosure.time_zone)
    first = at.astimezone(zone).date() - LOOK_BACK
    return datetime.fromtimestamp(day_bounds(first, zone=zone)[0], UTC)


def readings_of(*, enclosure: HomeEnclosure, at: datetime) -> HomeReadings:
    """Return what was measured in an enclosure in the 30 days before; one query."""
    rows = HomeReading.objects.filter(
        enclosure=enclosure,
        at__gte=readings_since(enclosure=enclosure, at=at),
        at__lte=at + timedelta(minutes=5),
    ).values_list("zone", "quantity", "at", "value_milli")
    return home_readings(
        (zone, quantity, int(when.timestamp()), milli)
        for zone, quantity, when, milli in rows.iterator()
    )


def home_days(*, enclosure: HomeEnclosure, at: datetime) -> tuple[HomeDay, ...]:
    """Return the local days of an enclosure that count, today among them."""
    zone = ZoneInfo(enclosure.time_zone)
    today = at.astimezone(zone).date()
    days = (today - timedelta(back) for back in range(LOOK_BACK.days + 1))
    return tuple(_day(enclosure, on, zone) for on in days)


def _day(enclosure: HomeEnclosure, on: date, zone: ZoneInfo) -> HomeDay:
    return HomeDay(
        LocalDay(on, *day_bounds(on, zone=zone)),
        LightTimes(
            instant(on, enclosure.lights_on, zone=zone),
            instant(on, enclosure.lights_off, zone=zone),
        ),
    )


def needs_of(*, animal: Animal, on: date, at: datetime) -> AnimalNeeds:
    """Return what an animal needs on a day; at most five queries.

    Args:
        animal: which.
        on: the local day on which it is to come.
        at: now.
    """
    needs = needs_on(animal=animal, on=on, at=at)
    return AnimalNeeds(
        profile=needs.version.profile if needs.version else None,
        version=needs.version.version if needs.version else 0,
        stage=needs.stage.code if needs.stage else None,
        sex=Sex(animal.sex),
        reproduction=needs.reproduction,
        targets=needs.targets,
    )


def needs_of_kind(*, species: Species, sex: Sex, on: date) -> AnimalNeeds:
    """Return what a grown animal of a species needs on a day; one query.

    Args:
        species: which.
        sex: of the animal that is thought of; unknown is fine.
        on: the local day.

    Returns:
        By the last life stage of the care profile: what is too small for a grown
        animal is not made ready for a young one.
    """
    version = profile_in_force(species_id=species.pk, on=on)
    if version is None:
        return AnimalNeeds(None, 0, None, sex, Reproduction.RESTING, ())
    stages = version.profile.stages
    stage = stages[-1].code if stages else None
    targets = resolve_targets(
        version.profile,
        stage=stage,
        sex=sex,
        reproduction=Reproduction.RESTING,
        overrides=(),
        on=on,
    )
    return AnimalNeeds(
        version.profile, version.version, stage, sex, Reproduction.RESTING, targets
    )
