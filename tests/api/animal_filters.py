"""What is asked of animals and what is agreed of them, and the two rows of each."""

from datetime import date, timedelta
from typing import Any

from husbandry.models import Animal
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    ReproductiveSpellFactory,
    StayFactory,
    TargetOverrideFactory,
)

YESTERDAY, TOMORROW = TODAY - timedelta(days=1), TODAY + timedelta(days=1)

# What is asked of a list, and which of its two rows is the answer.
CASES = [
    ("animals", "code", "a", "a"),
    ("animals", "species", "b", "b"),
    ("animals", "status", "placed", "b"),
    ("animals", "sex", "female", "a"),
    ("animals", "site", "a", "a"),
    ("animals", "enclosure", "a", "a"),
    ("animals", "room", "a/a", "a"),
    ("animals", "dam", "a", "b"),
    ("animals", "sire", "b", "a"),
    ("animals", "origin", "wild_caught", "b"),
    ("animals", "microchip", "276098100000001", "a"),
    ("animals", "hatched_from", "2025-05-01", "a"),
    ("animals", "hatched_until", "2024-08-01", "b"),
    ("animals", "arrived_from", "2025-06-01", "a"),
    ("animals", "arrived_until", "2024-12-31", "b"),
    ("animals", "left_from", str(TOMORROW), "b"),
    ("animals", "left_until", str(YESTERDAY), "a"),
    ("stays", "animal", "a", "a"),
    ("stays", "enclosure", "b", "b"),
    ("stays", "room", "b/b", "b"),
    ("stays", "at", NOW.isoformat(), "a"),
    ("stays", "current", "true", "a"),
    ("stays", "current", "false", "b"),
    ("reproductive-states", "animal", "a", "a"),
    ("reproductive-states", "state", "resting", "b"),
    ("reproductive-states", "on", str(TODAY), "a"),
    ("reproductive-states", "open", "false", "b"),
    ("target-overrides", "animal", "b", "b"),
    ("target-overrides", "quantity", "humidity_pct", "b"),
    ("target-overrides", "zone", "basking", "b"),
    ("target-overrides", "period", "day", "b"),
    ("target-overrides", "on", str(TODAY), "a"),
    ("target-overrides", "in_force", "false", "b"),
]


def make_animals(a: dict[str, Any], b: dict[str, Any]) -> None:
    """Make two rows of each list, from the species and enclosures that are there."""
    a["animals"] = AnimalFactory(
        code="a",
        species=a["species"],
        microchip="276098100000001",
        hatched_on=date(2025, 5, 1),
        arrived_on=date(2025, 6, 1),
        status="lost",
        left_on=YESTERDAY,
    )
    b["animals"] = AnimalFactory(
        code="b",
        species=b["species"],
        dam=a["animals"],
        origin="wild_caught",
        male=True,
        hatched_on=date(2024, 8, 1),
        arrived_on=date(2024, 12, 1),
        status="placed",
        left_on=TOMORROW,
    )
    # No family: each is named as a parent once, and no third animal is in the way.
    Animal.objects.filter(pk=a["animals"].pk).update(sire=b["animals"])
    a["stays"] = StayFactory(animal=a["animals"], enclosure=a["enclosures"])
    b["stays"] = StayFactory(
        animal=b["animals"], enclosure=b["enclosures"], until_at=NOW
    )
    a["reproductive-states"] = ReproductiveSpellFactory(animal=a["animals"])
    b["reproductive-states"] = ReproductiveSpellFactory(
        animal=b["animals"], state="resting", until_on=YESTERDAY
    )
    a["target-overrides"] = TargetOverrideFactory(animal=a["animals"])
    b["target-overrides"] = TargetOverrideFactory(
        animal=b["animals"],
        quantity="humidity_pct",
        zone="basking",
        period="day",
        until_on=YESTERDAY,
        withdrawn_at=NOW,
    )
