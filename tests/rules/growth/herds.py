"""Invented animals and their weighings, written shortly."""

from collections.abc import Iterable
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from husbandry.rules.growth.assessing import GrowingAnimal
from husbandry.rules.profiles.values import (
    GrowthPolicy,
    Provenance,
    Stage,
    WeightPolicy,
)
from husbandry.rules.vocabulary import Sex, Standing
from husbandry.rules.weights import WeighingPoint

ON = date(2026, 3, 31)
HATCHED_ON = date(2026, 1, 29)  # 61 days before
SAID = Provenance("mates-convention", Standing.FROM_MEMORY, date(2026, 1, 1))
GROWTH = GrowthPolicy(3, 5, Decimal("2.5"), Decimal(-2), SAID)
WEIGHTS = WeightPolicy(Decimal(5), 14, Decimal(10), 30, 14, 3, ("hatchling",), SAID)
HATCHLING = Stage("hatchling", "Hatchling", 0, 90, SAID)


def weighing(
    days_ago: int, mass_g: str | float, key: int = 0, **more: Any
) -> WeighingPoint:
    at = datetime.combine(ON - timedelta(days=days_ago), time(9), tzinfo=UTC)
    return WeighingPoint(key or 1000 - days_ago, at, Decimal(str(mass_g)), **more)


def animal(key: int, *weighings: tuple[int, str | float], **more: Any) -> GrowingAnimal:
    given: dict[str, Any] = {
        "id": key,
        "label": f"V-{key:04d}",
        "sex": Sex.UNKNOWN,
        "hatched_on": HATCHED_ON,
        "dam": 900,
        "sire": 901,
        "weighings": tuple(weighing(*one) for one in weighings),
        "stage": HATCHLING,
        "weight_policy": WEIGHTS,
        "growth_policy": GROWTH,
    }
    return GrowingAnimal(**(given | more))


def clutch(masses_g: Iterable[str | float], **more: Any) -> list[GrowingAnimal]:
    """Return clutch-mates that were all weighed today."""
    return [
        animal(key, (0, mass_g), **more)
        for key, mass_g in enumerate(masses_g, start=100)
    ]
