"""Weights and growth of thousands of young animals: reading rows, judging them all."""

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
from django.conf import settings
from django.db import connection

from bench.frame import Figure, progress, side_by_side
from bench.scratch import scratch_database
from husbandry.models import Animal, Species, Weighing
from husbandry.queries.weights import weighings_by_animal
from husbandry.rules.growth.assessing import GrowingAnimal, assess_growth
from husbandry.rules.growth.herds import weighed_herd
from husbandry.rules.growth.robust import trends_of
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.resolving import (
    stage_on,
    weighing_for,
    weight_band_for,
)
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import DatePrecision, Sex
from husbandry.rules.weights import WeighingPoint, assess_weights

ANIMALS = 10_000
WEIGHINGS = 50  # of each animal, twice a week since it hatched
CLUTCH = 25
ON = date(2026, 6, 3)
AGE_DAYS = 175
EVERY = timedelta(hours=84)
ZONE = ZoneInfo("Europe/Lisbon")
TREND_DAYS = 28
MOST_MS = 5_000
BATCH = 2_000
ROWS = (
    "SELECT animal_id, id, at, mass_g FROM husbandry_weighing AS weighing "
    "WHERE NOT EXISTS (SELECT 1 FROM husbandry_weighing AS newer "
    "WHERE newer.corrects_id = weighing.id) ORDER BY at, id"
)

Weighings = dict[int, tuple[WeighingPoint, ...]]


def figures(*, size: int | None) -> Iterator[Figure]:
    """Measure reading the weighings, and reading and judging all of them."""
    animals = size or ANIMALS
    label = f"growth, {animals:,} animals × {WEIGHINGS} weighings"
    with scratch_database():
        raise_young(animals)
        profile = shipped_profile()
        progress("measuring")
        taken = side_by_side(
            {"floor": rows_out, "read": read, "judged": judging(profile)}, repeats=3
        )
    yield Figure(
        f"{label}: read", taken["read"], taken["floor"], None,
        "the same rows by the driver's cursor",
    )  # fmt: skip
    yield Figure(
        f"{label}: read and judge", taken["judged"], taken["floor"], None,
        "the same rows by the driver's cursor",
    )  # fmt: skip
    yield Figure(
        f"{label}: the same", taken["judged"], MOST_MS, 1.0, "what it may take: 5 s",
    )  # fmt: skip


def shipped_profile() -> Profile:
    """Return the care profile that comes with the program."""
    path = Path(settings.BASE_DIR, "husbandry", "profiles", "veiled_chameleon.yaml")
    return read_profile(path.read_text(encoding="utf-8"), name=path.name)


def raise_young(animals: int) -> None:
    """Add clutches of young animals with all their weighings; one of each is small."""
    progress(f"storing {animals * WEIGHINGS:,} weighings")
    species = Species.objects.create(
        code="bench", common_name="Bench", scientific_name="Bench"
    )
    dams = Animal.objects.bulk_create(
        Animal(code=f"D-{n}", species=species, arrived_on=ON)
        for n in range(-(-animals // CLUTCH))
    )
    young = Animal.objects.bulk_create(
        (
            Animal(
                code=f"Y-{n}",
                species=species,
                hatched_on=ON - timedelta(days=AGE_DAYS),
                hatched_precision=DatePrecision.DAY.value,
                arrived_on=ON - timedelta(days=AGE_DAYS),
                dam=dams[n // CLUTCH],
            )
            for n in range(animals)
        ),
        batch_size=BATCH,
    )
    Weighing.objects.bulk_create(_weighings(young), batch_size=BATCH)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")


def _weighings(young: list[Animal]) -> Iterator[Weighing]:
    last_at = datetime.combine(ON, time(9), tzinfo=UTC)
    noise = np.random.default_rng(20260603).normal(0, 0.4, (len(young), WEIGHINGS))
    for place, animal in enumerate(young):
        share = 0.5 if place % CLUTCH == 0 else 1.0
        for number in range(WEIGHINGS):
            grams = share * (1.5 + 0.35 * (WEIGHINGS - number)) + noise[place, number]
            yield Weighing(
                animal=animal,
                at=last_at - number * EVERY,
                mass_g=Decimal(f"{max(grams, 0.3):.2f}"),
                recorded_at=last_at,
            )


def rows_out() -> None:
    """Fetch the same rows and make nothing of them."""
    with connection.cursor() as cursor:
        cursor.execute(ROWS)
        cursor.fetchall()


def read() -> Weighings:
    """Read the weighings of all animals, as every rule gets them."""
    return weighings_by_animal(
        animal_ids=Animal.objects.values_list("pk", flat=True),
        until_at=datetime.combine(ON, time.max, tzinfo=UTC),
    )


def judging(profile: Profile) -> Callable[[], int]:
    """Return the work of reading all weighings and judging every animal."""

    def work() -> int:
        weighings = read()
        young = _young(profile, weighings)
        found = sum(len(_weights(animal, profile)) for animal in young)
        herd = weighed_herd([a.weighings for a in young], on=ON, zone=ZONE)
        trends = trends_of(herd, window_days=TREND_DAYS)
        found += len(assess_growth(young, on=ON, zone=ZONE))
        return found + len(trends.slope)

    return work


def _young(profile: Profile, weighings: Weighings) -> list[GrowingAnimal]:
    rows = Animal.objects.filter(dam__isnull=False).order_by("pk")
    return [
        GrowingAnimal(
            id=pk,
            label=code,
            sex=Sex(sex),
            hatched_on=hatched_on,
            dam=dam,
            sire=sire,
            weighings=weighings.get(pk, ()),
            stage=stage_on(profile, hatched_on=hatched_on, on=ON),
            weight_policy=profile.weight_policy,
            growth_policy=profile.growth_policy,
        )
        for pk, code, sex, hatched_on, dam, sire in rows.values_list(
            "pk", "code", "sex", "hatched_on", "dam_id", "sire_id"
        )
    ]


def _weights(animal: GrowingAnimal, profile: Profile) -> tuple[object, ...]:
    stage = animal.stage.code if animal.stage else None
    return assess_weights(
        animal.weighings,
        on=ON,
        zone=ZONE,
        policy=profile.weight_policy,
        band=weight_band_for(profile, stage, animal.sex),
        weighing=weighing_for(profile, stage),
        stage=animal.stage,
        arrived_on=animal.hatched_on or ON,
    )
