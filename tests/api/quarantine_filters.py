"""What is asked of the lists of quarantine, and the two rows of each."""

from datetime import timedelta
from typing import Any

from tests.factories import (
    NOW,
    TODAY,
    QuarantineFactory,
    QuarantinePolicyFactory,
)

CASES = [
    ("quarantines", "animal", "a", "a"),
    ("quarantines", "group", "amphibians", "b"),
    ("quarantines", "held_on", str(TODAY), "a"),
    ("quarantines", "held_on", str(TODAY - timedelta(days=1)), "b"),
    ("quarantine-policies", "species", "b", "b"),
]


def make_quarantine(a: dict[str, Any], b: dict[str, Any]) -> None:
    """Add two rows of each list; animals and species are there."""
    a["quarantines"] = QuarantineFactory(animal=a["animals"], began_on=TODAY)
    b["quarantines"] = QuarantineFactory(
        animal=b["animals"],
        began_on=TODAY - timedelta(days=5),
        ended_on=TODAY,
        ended_at=NOW,
        group="amphibians",
    )
    for side in (a, b):
        side["quarantine-policies"] = QuarantinePolicyFactory(species=side["species"])
