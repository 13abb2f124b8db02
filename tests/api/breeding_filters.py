"""What is asked of the lists of breeding, and the two rows of each."""

from typing import Any

from tests.factories import TODAY, IncubationPlanFactory

# What is asked of a list, and which of its two rows is the answer.
CASES = [
    ("incubation-plans", "code", "b", "b"),
    ("incubation-plans", "species", "a", "a"),
    ("incubation-plans", "offered", "true", "a"),
]


def make_breeding(a: dict[str, Any], b: dict[str, Any]) -> None:
    """Add two rows of each list of breeding to those that there are."""
    a["incubation-plans"] = IncubationPlanFactory(code="a", species=a["species"])
    b["incubation-plans"] = IncubationPlanFactory(
        code="b", species=b["species"], retired_on=TODAY
    )
