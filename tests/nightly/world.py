"""A small site with one well-kept veiled chameleon, and ways to let things go wrong."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from core.models import Room, Site
from core.zones import day_bounds, instant
from husbandry.actions.profiles import load_shipped_profiles
from husbandry.models import Animal, Enclosure, Probe, Reading, Species
from husbandry.rules.vocabulary import FindingKind, Zone
from tests.factories import (
    AnimalFactory,
    EnclosureFactory,
    ProbeFactory,
    ReviewPolicyFactory,
    RoomFactory,
    SetupFactory,
    SiteFactory,
    StayFactory,
    WeighingFactory,
)

ON = date(2026, 3, 1)
MORNING = datetime(2026, 3, 2, 6, 0, tzinfo=UTC)
INTERVAL_S = 300
LIGHTS_ON, LIGHTS_OFF = time(7), time(19)
Values = Callable[[bool, int], tuple[float | None, float | None, float | None]]


def wobble(step: int) -> float:
    """A little movement, as any living room has."""
    return 0.1 * (step % 5)


def basking(day: bool, step: int) -> tuple[float, None, float]:
    return (29.2 + wobble(step), None, 3.0) if day else (16.0 + wobble(step), None, 0.0)


def ambient(day: bool, step: int) -> tuple[float, float, None]:
    shift = wobble(step)
    return (24.0 + shift, 40 + shift, None) if day else (16.0 + shift, 85 + shift, None)


@dataclass
class World:
    site: Site
    room: Room
    species: Species
    enclosure: Enclosure
    animal: Animal
    basking: Probe
    ambient: Probe


def make_world(*, zone: str = "Europe/Lisbon", code: str = "A-01") -> World:
    """A site, an enclosure as it should be, an adult male that was just weighed.

    Nobody records care here and the site does not want to hear of it; `test_care`
    has a world in which they do.
    """
    load_shipped_profiles(by=None, at=datetime(2025, 1, 1, tzinfo=UTC))
    species = Species.objects.get(code="veiled_chameleon")
    site = SiteFactory.create(time_zone=zone)
    ReviewPolicyFactory.create(site=site, kind=FindingKind.CARE_UNRECORDED.value)
    room = RoomFactory.create(site=site, name="Adults")
    enclosure = EnclosureFactory.create(room=room, code=code)
    SetupFactory.create(enclosure=enclosure)
    animal = AnimalFactory.create(male=True, species=species, name="Bas")
    StayFactory.create(animal=animal, enclosure=enclosure)
    weigh(animal, ON, "140")
    return World(
        site=site,
        room=room,
        species=species,
        enclosure=enclosure,
        animal=animal,
        basking=ProbeFactory.create(
            enclosure=enclosure,
            code=f"{code}-bask",
            zone=Zone.BASKING.value,
            measures_humidity=False,
            measures_uv_index=True,
        ),
        ambient=ProbeFactory.create(enclosure=enclosure, code=f"{code}-air"),
    )


def weigh(animal: Animal, on: date, mass_g: str) -> None:
    WeighingFactory.create(
        animal=animal,
        at=datetime.combine(on, time(9), tzinfo=UTC),
        mass_g=Decimal(mass_g),
    )


def record(probe: Probe, on: date, values: Values, *, until_h: int = 25) -> None:
    """Store a local day of readings straight into the table."""
    zone = ZoneInfo(probe.enclosure.room.site.time_zone)
    start_s, end_s = day_bounds(on, zone=zone)
    lit = range(instant(on, LIGHTS_ON, zone=zone), instant(on, LIGHTS_OFF, zone=zone))
    end_s = min(end_s, start_s + 3600 * until_h)
    Reading.objects.bulk_create(
        Reading(probe=probe, at=at, **_columns(values(at in lit, step)))
        for step, at in enumerate(range(start_s, end_s, INTERVAL_S))
    )


def _columns(
    found: tuple[float | None, float | None, float | None],
) -> dict[str, int | None]:
    names = ("temperature_milli_c", "humidity_milli_pct", "uv_index_milli")
    return {
        name: None if value is None else round(value * 1000)
        for name, value in zip(names, found, strict=True)
    }


def record_good_day(world: World, on: date) -> None:
    record(world.basking, on, basking)
    record(world.ambient, on, ambient)


def day(n: int) -> date:
    return ON + timedelta(days=n)
