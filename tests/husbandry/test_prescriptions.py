"""What a licensed vet prescribed, recorded whole or refused; drugs are invented."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from core.models import AuditEntry
from core.roles import Role
from husbandry.actions.doses import give_dose
from husbandry.actions.prescriptions import prescribe, stop_prescription
from husbandry.models import Prescription
from husbandry.queries.prescriptions import waiting_doses
from husbandry.rules.health.prescribing import PrescriptionError
from husbandry.rules.vocabulary import DoseUnit, Route
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    DoseFactory,
    PrescriptionFactory,
    ReviewRunFactory,
    SiteFactory,
    StayFactory,
    UserFactory,
    WeighingFactory,
)

pytestmark = pytest.mark.django_db
D = Decimal
DAY = timedelta(days=1)
SYRUP: dict[str, Any] = {
    "drug": " Invented syrup ",
    "dose_per_kg": D(10),
    "dose_unit": DoseUnit.MG_PER_KG,
    "concentration_mg_per_ml": D("2.5"),
    "route": Route.BY_MOUTH,
    "every_hours": 12,
    "first_at": datetime(2026, 3, 2, 18, 0, 42, 99, tzinfo=UTC),
    "until_on": date(2026, 3, 8),
    "smallest_step_ml": D("0.01"),
    "vet": "A licensed vet of the tests",
    "prescribed_on": date(2026, 3, 2),
    "reason": "In the vet's words.",
}


def record(**changes: Any) -> Prescription:
    asked = SYRUP | {"by": None, "at": NOW} | changes
    asked.setdefault("animal", None)
    animal = asked["animal"] or StayFactory.create().animal
    return prescribe(**(asked | {"animal": animal}))


def test_prescription_is_kept_as_it_was_written() -> None:
    vet = UserFactory.create(role=Role.VET)
    animal = StayFactory.create().animal

    row = record(animal=animal, by=vet)

    row.refresh_from_db()
    assert (row.animal, row.drug, row.vet) == (animal, "Invented syrup", SYRUP["vet"])
    assert (row.dose_per_kg, row.dose_unit) == (10, "mg_per_kg")
    assert (row.concentration_mg_per_ml, row.route) == (D("2.5"), "by_mouth")
    assert row.first_at == datetime(2026, 3, 2, 18, 0, tzinfo=UTC)
    assert (row.every_hours, row.until_on) == (12, date(2026, 3, 8))
    assert (row.recorded_by, row.recorded_at, row.stopped_at) == (vet, NOW, None)
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by, entry.reason) == (
        "prescribe",
        vet,
        "In the vet's words.",
    )
    assert entry.after["dose_per_kg"] == "10"
    assert entry.after["animal"] == animal.pk


def test_fluid_is_prescribed_by_volume() -> None:
    row = record(dose_unit=DoseUnit.ML_PER_KG, concentration_mg_per_ml=None, reason="")

    row.refresh_from_db()
    assert (row.dose_unit, row.concentration_mg_per_ml) == ("ml_per_kg", None)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"vet": "  "}, "Name the licensed vet"),
        ({"vet": "x" * 161}, "The vet has 161 characters; at most 160"),
        ({"drug": ""}, "Name the drug or fluid"),
        ({"drug": "x" * 121}, "The drug has 121 characters; at most 120"),
        ({"reason": "x" * 301}, "The reason has 301 characters; at most 300"),
        ({"concentration_mg_per_ml": None}, "needs the concentration"),
        ({"concentration_mg_per_ml": D(0)}, "concentration mg per ml of 0 cannot be"),
        ({"dose_unit": DoseUnit.ML_PER_KG}, "in mL/kg needs no concentration"),
        ({"dose_per_kg": D(0)}, "dose per kg of 0 cannot be"),
        ({"dose_per_kg": D(-1)}, "dose per kg of -1 cannot be"),
        ({"dose_per_kg": D("NaN")}, "dose per kg of NaN cannot be"),
        ({"dose_per_kg": D(1_000_000)}, "dose per kg of 1000000 cannot be"),
        ({"dose_per_kg": D("0.00001")}, "more than four decimals"),
        ({"smallest_step_ml": D(0)}, "smallest step ml of 0 cannot be"),
        ({"smallest_step_ml": D(100)}, "smallest step ml of 100 cannot be"),
        ({"every_hours": 0}, "every 0 hours cannot be: give 1 to 720"),
        ({"every_hours": 721}, "every 721 hours cannot be"),
        ({"until_on": date(2026, 3, 1)}, "From 02 Mar 2026 to 01 Mar 2026 cannot be"),
        ({"until_on": date(2027, 3, 3)}, "it lasts 1 to 366 days"),
        ({"prescribed_on": TODAY + DAY}, "03 Mar 2026 has not come yet"),
    ],
)
def test_nonsense_is_refused_with_what_would_be_accepted(
    changes: dict[str, Any], sentence: str
) -> None:
    with pytest.raises(PrescriptionError) as refused:
        record(**changes)

    assert sentence in refused.value.sentence
    assert refused.value.fields
    assert not Prescription.objects.exists()
    assert not AuditEntry.objects.exists()


@pytest.mark.parametrize(
    "changes",
    [
        {"every_hours": 1},
        {"every_hours": 720},
        {"until_on": date(2026, 3, 2)},
        {"until_on": date(2027, 3, 2)},
        {"dose_per_kg": D("0.0001")},
        # Begun at the practice, weeks before it was recorded here.
        {"first_at": datetime(2026, 1, 5, 9, tzinfo=UTC)},
    ],
)
def test_what_is_just_possible_is_kept(changes: dict[str, Any]) -> None:
    assert record(**changes).pk


def test_same_prescription_sent_twice_is_one() -> None:
    """A form that is sent again must not make two doses of one."""
    animal = StayFactory.create().animal
    row = record(animal=animal)

    again = record(animal=animal, at=NOW + DAY, by=UserFactory.create())

    assert again == row
    assert Prescription.objects.count() == AuditEntry.objects.count() == 1


@pytest.mark.parametrize(
    "changes",
    [
        {"dose_per_kg": D(12)},
        {"drug": "INVENTED  Syrup", "route": Route.ON_THE_SKIN},
        {
            "first_at": datetime(2026, 3, 8, 21, tzinfo=UTC),
            "until_on": date(2026, 4, 1),
        },
        {"first_at": datetime(2026, 2, 1, 9, tzinfo=UTC), "until_on": date(2026, 3, 2)},
    ],
)
def test_one_drug_is_not_prescribed_twice_for_a_day(changes: dict[str, Any]) -> None:
    animal = StayFactory.create().animal
    first = record(animal=animal)

    with pytest.raises(PrescriptionError, match="from 02 Mar 2026 to 08 Mar 2026"):
        record(animal=animal, **changes)

    # Another animal, another drug, other days, or once the first one was stopped.
    record(**changes)
    record(animal=animal, **(changes | {"drug": "Invented drops"}))
    before = {
        "first_at": datetime(2026, 1, 1, tzinfo=UTC),
        "until_on": date(2026, 1, 9),
    }
    record(animal=animal, **before)
    stop_prescription(prescription=first, reason="A new one.", by=None, at=NOW)
    assert record(animal=animal, **changes).pk


def test_one_that_left_gets_no_prescription() -> None:
    with pytest.raises(PrescriptionError, match="is not in care any more"):
        record(animal=AnimalFactory.create(left=True))


def test_last_day_counts_by_the_sites_clock() -> None:
    # 1 July 23:30 UTC is 2 July in Lisbon.
    late = datetime(2026, 7, 1, 23, 30, tzinfo=UTC)

    with pytest.raises(PrescriptionError, match="From 02 Jul 2026 to 01 Jul 2026"):
        record(first_at=late, until_on=date(2026, 7, 1))


def test_reviews_from_the_day_before_the_first_dose_are_stale() -> None:
    site = SiteFactory.create()
    stay = StayFactory.create(enclosure__room__site=site)
    runs = {
        day: ReviewRunFactory.create(site=site, on=TODAY - day * DAY)
        for day in range(4)
    }

    record(animal=stay.animal, first_at=datetime(2026, 3, 1, 9, tzinfo=UTC))

    for run in runs.values():
        run.refresh_from_db()
    assert {d for d, run in runs.items() if run.stale_since} == {0, 1, 2}


def test_prescription_is_stopped_once_with_a_reason() -> None:
    vet = UserFactory.create(role=Role.VET)
    row = PrescriptionFactory.create()

    for reason, sentence in ((" ", "Say why"), ("x" * 201, "has 201 characters")):
        with pytest.raises(PrescriptionError, match=sentence):
            stop_prescription(prescription=row, reason=reason, by=vet, at=NOW)
    stop_prescription(prescription=row, reason=" Recovered. ", by=vet, at=NOW)
    with pytest.raises(PrescriptionError, match="was stopped already"):
        stop_prescription(prescription=row, reason="Again.", by=vet, at=NOW + DAY)

    row.refresh_from_db()
    assert (row.stopped_at, row.stopped_by, row.stopped_reason) == (
        NOW,
        vet,
        "Recovered.",
    )
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.reason) == ("stop_prescription", "Recovered.")


# Which doses wait


def at(day: int, hour: int = 9) -> datetime:
    return datetime(2026, 3, day, hour, tzinfo=UTC)


def test_doses_wait_until_something_is_on_record_of_them() -> None:
    # Once a day at 09:00 UTC from 1 to 7 March; now is 2 March, 12:00.
    row = PrescriptionFactory.create(animal=StayFactory.create().animal)
    fresh = waiting_doses(prescription=row, at=NOW)
    DoseFactory.create(prescription=row, due_at=at(2))
    DoseFactory.create(
        prescription=row, due_at=at(1), struck_at=NOW, struck_reason="Wrong day."
    )
    later = waiting_doses(prescription=row, at=NOW)

    assert (fresh.due, fresh.proposed) == ((at(1), at(2), at(3)), at(2))
    assert (later.due, later.proposed) == ((at(1), at(3)), at(3))


def test_nothing_waits_before_the_first_and_after_the_last() -> None:
    row = PrescriptionFactory.create(animal=StayFactory.create().animal)
    early = waiting_doses(prescription=row, at=at(1) - 2 * DAY)
    for day in range(1, 8):
        DoseFactory.create(prescription=row, due_at=at(day))
    over = waiting_doses(prescription=row, at=at(20))

    assert (early.due, early.proposed) == (over.due, over.proposed) == ((), None)


def test_volume_of_a_dose_now_or_why_there_is_none() -> None:
    row = PrescriptionFactory.create(animal=StayFactory.create().animal)
    unweighed = waiting_doses(prescription=row, at=NOW)
    WeighingFactory.create(animal=row.animal, at=NOW, mass_g=D(120))
    WeighingFactory.create(animal=row.animal, at=NOW + DAY, mass_g=D(130))
    weighed = waiting_doses(prescription=row, at=NOW)

    assert unweighed.volume is None
    assert (unweighed.code, weighed.code) == ("no_weight", "")
    assert "No weighing is on record" in unweighed.refusal
    assert weighed.volume is not None
    # By hand: 0.12 kg × 10 mg/kg at 10 mg/mL.
    assert (weighed.volume.volume_ml, weighed.refusal) == (D("0.12"), "")


def test_no_volume_is_shown_while_nothing_is_to_be_given() -> None:
    animal = StayFactory.create().animal
    WeighingFactory.create(animal=animal, at=at(1), mass_g=D(120))
    replaced = PrescriptionFactory.create(
        animal=animal, stopped_at=at(2, 10), stopped_reason="A new one."
    )
    row = PrescriptionFactory.create(animal=animal, first_at=at(2))
    other = PrescriptionFactory.create(animal=animal, drug="Invented drops")
    give_dose(
        prescription=replaced, due_at=at(2), given_at=at(2), by=None, recorded_at=NOW
    )

    stopped = waiting_doses(prescription=replaced, at=NOW)
    near = waiting_doses(prescription=row, at=NOW)
    later = waiting_doses(prescription=row, at=at(2, 21))

    assert (stopped.volume, near.volume) == (None, None)
    assert "was stopped at 2026-03-02 10:00" in stopped.refusal
    assert "on record at 2026-03-02 09:00" in near.refusal
    assert "Never double up" in near.refusal
    assert later.volume is not None
    assert waiting_doses(prescription=other, at=NOW).volume is not None
