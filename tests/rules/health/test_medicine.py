"""Missed doses, and doses that cannot be computed."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from husbandry.rules.assessments import Assessment
from husbandry.rules.care.facts import DoseFact
from husbandry.rules.health.medicine import assess_medicine, dose_of
from husbandry.rules.vocabulary import DoseOutcome, FindingKind, Urgency
from husbandry.rules.weights import WeighingPoint
from tests.rules.health.facts import (
    LISBON,
    PROFILE,
    TODAY,
    animal,
    date,
    place,
    prescription,
)


def at(day: int, hour: int = 9) -> datetime:
    return datetime(2026, 3, day, hour, tzinfo=UTC)


def given(due_at: datetime, at: datetime | None = None, **changes: Any) -> DoseFact:
    rest = {"outcome": DoseOutcome.GIVEN, "volume_ml": Decimal("0.12")} | changes
    return DoseFact(id=1, due_at=due_at, at=at or due_at, **rest)


def assess(
    kind: FindingKind,
    on: date = TODAY,
    weighed: WeighingPoint | None = None,
    **changes: Any,
) -> list[Assessment]:
    medicated = animal(prescriptions=(prescription(**changes),))
    if weighed is not None:
        medicated = animal(prescriptions=medicated.prescriptions, last_weighing=weighed)
    found = assess_medicine(medicated, place(medicated), on=on)
    return [a for a in found if a.kind is kind]


@pytest.mark.parametrize(
    ("changes", "missed"),
    [
        # Once a day at 09:00 from 1 March, judged at the end of 2 March: half of 24
        # hours after 09:00 is 21:00 of the same day.
        ({}, 2),
        ({"doses": (given(at(1)),)}, 1),
        ({"doses": (given(at(1)), given(at(2)))}, 0),
        # It was said why it was not given.
        (
            {
                "doses": (
                    given(at(1)),
                    given(at(2), outcome=DoseOutcome.NOT_GIVEN, volume_ml=None),
                )
            },
            0,
        ),
        # Given only on the day after, it was missed on this one.
        ({"doses": (given(at(1)), given(at(2), at(3, 0)))}, 1),
        ({"doses": (given(at(1)), given(at(2), at(2, 23)))}, 0),
        # Every 30 hours from 09:00 on the 2nd: half is 00:00, the very end.
        ({"first_at": at(2), "every_hours": 30}, 1),
        ({"first_at": at(2), "every_hours": 31}, 0),
        ({"first_at": at(3)}, 0),
        ({"stopped_at": at(1, 20)}, 1),
        ({"stopped_at": at(1)}, 0),
    ],
)
def test_dose_is_missed_once_half_its_interval_has_passed(
    changes: dict[str, Any], missed: int
) -> None:
    found = assess(FindingKind.DOSE_MISSED, **changes)

    assert [a.facts["missed"] for a in found] == ([missed] if missed else [])


def test_missed_doses_are_told_once_for_a_prescription() -> None:
    (found,) = assess(FindingKind.DOSE_MISSED)

    assert (found.urgency, found.animal, found.detail) == (Urgency.TODAY, 1, ("1",))
    assert found.facts == {
        "prescription": 1,
        "drug": "Invented syrup",
        "vet": "A licensed vet of the tests",
        "missed": 2,
        "first_due_at": "2026-03-01 09:00",
        "last_due_at": "2026-03-02 09:00",
        "every_hours": 24,
    }
    assert found.provenance is not None
    assert found.provenance.source == "care-task-convention"


OLD = WeighingPoint(1, datetime(2026, 2, 24, 8, tzinfo=UTC), Decimal(120))


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({}, None),
        # Weighed on 24 February: six days before 2 March, seven before 3 March.
        ({"weighed": OLD}, None),
        ({"weighed": OLD, "on": date(2026, 3, 3)}, "weight_too_old"),
        # No dose is due on that day or the next.
        ({"weighed": OLD, "on": date(2026, 3, 8)}, None),
        # What was due is on record, and no more follows.
        (
            {
                "weighed": OLD,
                "on": date(2026, 3, 7),
                "doses": (given(at(7)),),
            },
            None,
        ),
        ({"concentration_mg_per_ml": Decimal(5000)}, "dose_too_small"),
        ({"weighed": WeighingPoint(1, at(2), Decimal(120_000))}, "weight_out_of_band"),
    ],
)
def test_dose_of_the_day_that_cannot_be_computed_is_told(
    changes: dict[str, Any], code: str | None
) -> None:
    found = assess(FindingKind.DOSE_UNSAFE, **changes)

    assert [a.facts["code"] for a in found] == ([] if code is None else [code])


def test_unsafe_dose_says_why_and_when_it_is_due() -> None:
    (found,) = assess(FindingKind.DOSE_UNSAFE, concentration_mg_per_ml=None)

    assert (found.urgency, found.animal, found.detail) == (Urgency.TODAY, 1, ("1",))
    assert found.facts == {
        "prescription": 1,
        "drug": "Invented syrup",
        "vet": "A licensed vet of the tests",
        "code": "concentration",
        "sentence": "Invented syrup is prescribed in mg/kg, but how many mg a mL holds "
        "is not on record, so no volume is computed. Ask the vet.",
        "due_at": "2026-03-03 09:00",
    }


def test_dose_of_an_animal_goes_by_its_profile() -> None:
    # 0.12 kg × 10 mg/kg at 10 mg/mL, by hand.
    assert dose_of(animal(), prescription(), zone=LISBON, on=TODAY).volume_ml == (
        Decimal("0.12")
    )
    bare = dose_of(animal(profile=None), prescription(), zone=LISBON, on=TODAY)
    ageless = dose_of(animal(hatched_on=None), prescription(), zone=LISBON, on=TODAY)

    assert len(bare.remarks) == 2
    assert len(ageless.remarks) <= 1


def test_prescriptions_are_judged_one_by_one() -> None:
    ill = animal(
        prescriptions=(prescription(), prescription(id=2, first_at=at(3))),
        profile=PROFILE,
    )

    found = [*assess_medicine(ill, place(ill), on=TODAY + timedelta(days=1))]

    assert [(a.kind, a.detail) for a in found] == [
        (FindingKind.DOSE_MISSED, ("1",)),
        (FindingKind.DOSE_MISSED, ("2",)),
    ]
