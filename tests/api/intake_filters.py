"""What is asked of the lists of intake, and the two rows of each."""

from datetime import timedelta
from typing import Any

from tests.factories import (
    NOW,
    ArrivalFactory,
    ExamFactory,
    HoldPolicyFactory,
    IntakeFactory,
    IntakePhotoFactory,
)

A_DAY_AGO = NOW - timedelta(days=1)

# What is asked of a list, and which of its two rows is the answer.
CASES = [
    ("arrivals", "site", "a", "a"),
    ("arrivals", "source", "stray", "b"),
    ("arrivals", "animal", "b", "b"),
    ("arrivals", "from_at", NOW.isoformat(), "a"),
    ("arrivals", "until_at", NOW.isoformat(), "b"),
    ("intakes", "animal", "a", "a"),
    ("intakes", "source", "stray", "b"),
    ("intakes", "condition", "healthy", "b"),
    ("intakes", "species_sure", "false", "b"),
    ("intake-photos", "animal", "a", "a"),
    ("exams", "animal", "b", "b"),
    ("exams", "from_at", NOW.isoformat(), "a"),
    ("exams", "until_at", NOW.isoformat(), "b"),
    ("hold-policies", "source", "seizure", "b"),
]


def make_intake(a: dict[str, Any], b: dict[str, Any]) -> None:
    """Make two rows of each list, from the animals and sites that are there."""
    a["arrivals"] = ArrivalFactory(site=a["sites"], home=a["homes"])
    b["arrivals"] = ArrivalFactory(
        site=b["sites"], home=None, source="stray", arrived_at=A_DAY_AGO
    )
    a["intakes"] = IntakeFactory(arrival=a["arrivals"], animal=a["animals"])
    b["intakes"] = IntakeFactory(
        arrival=b["arrivals"],
        animal=b["animals"],
        condition="healthy",
        species_sure=False,
    )
    for side in (a, b):
        side["intake-photos"] = IntakePhotoFactory(intake=side["intakes"])
    a["exams"] = ExamFactory(animal=a["animals"])
    b["exams"] = ExamFactory(animal=b["animals"], at=A_DAY_AGO)
    a["hold-policies"] = HoldPolicyFactory()
    b["hold-policies"] = HoldPolicyFactory(source="seizure")
