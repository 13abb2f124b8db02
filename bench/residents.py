"""Animals that live in the measured enclosures, and the whole night judged."""

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal

from django.db import connection

from bench import floors
from bench.frame import Figure, progress, side_by_side
from bench.herd import ON, Herd
from core.models import Site
from husbandry.actions.profiles import load_shipped_profiles
from husbandry.actions.review import review_night
from husbandry.models import Animal, Enclosure, Setup, Species, Stay, Weighing
from husbandry.rules.vocabulary import DatePrecision, Sex

WEIGHINGS = 26  # of each animal, one a week
ARRIVED_AT = datetime(2025, 6, 1, 12, tzinfo=UTC)
MORNING = datetime(2026, 6, 5, 6, tzinfo=UTC)
BATCH = 2_000


def settle(herd: Herd) -> Site:
    """Let an adult male live in every enclosure, set up and weighed as it should be."""
    progress(f"settling {herd.enclosures:,} animals")
    load_shipped_profiles(by=None, at=ARRIVED_AT)
    site = Site.objects.get(code=f"bench-{herd.enclosures}")
    enclosures = list(Enclosure.objects.filter(room__site=site).order_by("pk"))
    Setup.objects.bulk_create(map(_setup, enclosures), batch_size=BATCH)
    animals = Animal.objects.bulk_create(map(_animal, enclosures), batch_size=BATCH)
    Stay.objects.bulk_create(
        (
            Stay(animal=animal, enclosure=enclosure, from_at=ARRIVED_AT)
            for animal, enclosure in zip(animals, enclosures, strict=True)
        ),
        batch_size=BATCH,
    )
    Weighing.objects.bulk_create(_weighings(animals), batch_size=BATCH)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    return site


def _setup(enclosure: Enclosure) -> Setup:
    return Setup(
        enclosure=enclosure,
        from_on=ARRIVED_AT.date(),
        width_cm=Decimal(61),
        depth_cm=Decimal(61),
        height_cm=Decimal(122),
        lights_on=time(7),
        lights_off=time(19),
    )


def _animal(enclosure: Enclosure) -> Animal:
    return Animal(
        code=f"B-{enclosure.pk}",
        species=Species.objects.get(code="veiled_chameleon"),
        sex=Sex.MALE.value,
        hatched_on=date(2025, 1, 1),
        hatched_precision=DatePrecision.DAY.value,
        arrived_on=ARRIVED_AT.date(),
    )


def _weighings(animals: list[Animal]) -> Iterator[Weighing]:
    last = datetime.combine(ON, time(9), tzinfo=UTC)
    for animal in animals:
        for weeks in range(WEIGHINGS):
            yield Weighing(
                animal=animal,
                at=last - timedelta(weeks=weeks),
                mass_g=Decimal(140) - Decimal(weeks) / 2,
                recorded_at=last,
            )


def reviewing(site: Site) -> Callable[[], object]:
    """Return the work of a whole night: gather, decide and write."""
    return lambda: review_night(site=site, on=ON, by=None, at=MORNING)


def whole_night(herd: Herd, label: str) -> Iterator[Figure]:
    """Measure the review as it runs at night, judging and writing included."""
    site = settle(herd)
    on_postgresql = connection.vendor == "postgresql"
    floor = floors.day_out() if on_postgresql else floors.day_summed()
    progress("measuring whole nights")
    taken = side_by_side({"floor": floor, "work": reviewing(site)}, repeats=3)
    yield Figure(
        f"review, {label}: the whole night, animals judged",
        taken["work"], taken["floor"], None,
        "COPY out of the same rows" if on_postgresql else "sum computed inside SQLite",
    )  # fmt: skip
    yield Figure(
        f"review, {label}: the whole night, by animal",
        taken["work"], herd.enclosures, None, "animals",
    )  # fmt: skip
