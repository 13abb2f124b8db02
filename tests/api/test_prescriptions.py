"""Prescriptions and doses: arithmetic on a vet's word, with its caution; invented."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from core.roles import Role
from husbandry.models import Dose, Prescription
from husbandry.rules.health.cautions import DOSES
from tests.api.conftest import Caller
from tests.api.racks import Json, ada, entry, ids
from tests.factories import (
    AnimalFactory,
    CareProfileFactory,
    DoseFactory,
    PrescriptionFactory,
    StayFactory,
    UserFactory,
    WeighingFactory,
)

PRESCRIPTIONS, GIVEN = "/api/v1/prescriptions/", "/api/v1/doses/"
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
DUE = "2026-03-02T09:00:00Z"
AT = "2026-03-02T10:00:00Z"
WRITTEN: Json = {
    "animal": "V-1",
    "drug": "Invented syrup",
    "dose_per_kg": 10,
    "dose_unit": "mg_per_kg",
    "concentration_mg_per_ml": 2.5,
    "route": "by_mouth",
    "every_hours": 24,
    "first_at": "2026-03-01T09:00:00Z",
    "until_on": "2026-03-07",
    "smallest_step_ml": 0.01,
    "vet": "A licensed vet of the tests",
    "prescribed_on": "2026-03-01",
}


@pytest.fixture
def vet(caller: Caller) -> APIClient:
    return caller(Role.VET)


def prescribed(**changes: Any) -> Prescription:
    """Once a day at 09:00 UTC, 1 to 7 March; 10 mg/kg of 10 mg/mL, 123.4 g."""
    animal = StayFactory.create(animal=AnimalFactory.create(code="V-1")).animal
    WeighingFactory.create(
        animal=animal, at=datetime(2026, 3, 1, 8, tzinfo=UTC), mass_g=Decimal("123.4")
    )
    row: Prescription = PrescriptionFactory.create(animal=animal, **changes)
    return row


def shown(at: datetime) -> str:
    return at.isoformat().replace("+00:00", "Z")


def given(row: Prescription, **changes: Any) -> Json:
    """Return what is sent of a dose that was given."""
    said = {"outcome": "given", "prescription": row.pk, "due_at": DUE, "given_at": AT}
    return said | changes


def test_prescribe(vet: APIClient) -> None:
    animal = StayFactory.create(
        animal__code="V-1", enclosure__room__site__time_zone="UTC"
    ).animal
    CareProfileFactory.create()
    now = timezone.now()
    weighing = WeighingFactory.create(
        animal=animal, at=now - HOUR, mass_g=Decimal("101.50")
    )
    on = weighing.at.date().isoformat()

    first_at = now.replace(second=0, microsecond=0)
    until_on = (first_at + 6 * DAY).date().isoformat()
    body = {**WRITTEN, "first_at": first_at.isoformat(), "until_on": until_on}
    answer = vet.post(PRESCRIPTIONS, body)

    assert answer.status_code == 201
    found = answer.json()
    assert found.pop("recorded_at").endswith("Z")
    assert found.pop("recorded_by").startswith("person")
    shown_at = shown(first_at)
    assert found == {
        "id": Prescription.objects.get().pk,
        **body,
        "animal": {"id": animal.pk, "code": "V-1"},
        "first_at": shown_at,
        "reason": "",
        "stopped_at": None,
        "stopped_by": None,
        "stopped_reason": "",
        "caution": DOSES.text,
        "dose": {
            # By hand: 10 mg/kg × 0.1015 kg = 1.015 mg; at 2.5 mg/mL 0.406 mL.
            "volume": {
                "volume_ml": 0.41,
                "exact_ml": 0.406,
                "amount_mg": 1.015,
                "mass_g": 101.5,
                "weighed_on": on,
                "remarks": [],
            },
            "refusal": None,
            # Until an interval from now.
            "due": [shown_at, shown(first_at + DAY)],
        },
    }
    assert vet.get(f"{PRESCRIPTIONS}{found['id']}/").json()["dose"] == found["dose"]


def test_a_dose_that_cannot_be_computed_says_why(viewer: APIClient) -> None:
    row = PrescriptionFactory.create()

    dose = viewer.get(f"{PRESCRIPTIONS}{row.pk}/").json()["dose"]

    assert (dose["volume"], dose["refusal"]["code"]) == (None, "no_weight")
    assert "No weighing is on record" in dose["refusal"]["sentence"]
    assert len(dose["due"]) == 7


@pytest.mark.parametrize(
    ("changes", "status", "fields"),
    [
        ({"route": "by_air"}, 400, None),
        ({"dose_unit": "grains"}, 400, {"dose_unit": "mg_per_kg, ml_per_kg"}),
        ({"animal": "V-9"}, 400, {"animal": "the code of an animal"}),
        ({"vet": ""}, 400, {"vet": "str of length >= 1"}),
        ({"vet": " "}, 409, {"vet": "not blank"}),
        ({"every_hours": 10**30}, 400, {"every_hours": "int <= 32767"}),
        ({"until_on": "2199-12-31"}, 409, None),
        ({"every_hours": 721}, 409, {"every_hours": "1 to 720"}),
        (
            {"dose_per_kg": 1e300},
            409,
            {"dose_per_kg": "more than 0, at most 999999.9999"},
        ),
        ({"dose_per_kg": 0.00001}, 409, {"dose_per_kg": "at most four decimals"}),
        (
            {"concentration_mg_per_ml": None},
            409,
            {"concentration_mg_per_ml": "mg in one mL, more than 0"},
        ),
    ],
)
def test_what_no_vet_writes_is_refused(
    changes: Json, status: int, fields: Json | None, vet: APIClient
) -> None:
    AnimalFactory.create(code="V-1")

    answer = vet.post(PRESCRIPTIONS, {**WRITTEN, **changes})

    assert answer.status_code == status
    assert fields is None or answer.json()["fields"] == fields
    assert not Prescription.objects.exists()


def test_stop(vet: APIClient) -> None:
    row = prescribed()
    WeighingFactory.create(animal=row.animal, at=timezone.now() - HOUR)
    stop = f"{PRESCRIPTIONS}{row.pk}/stop/"

    answer = vet.post(stop, {"reason": "Well again, the vet says."})
    again = vet.post(stop, {"reason": "Well again, the vet says."})

    found = answer.json()
    assert (answer.status_code, found["stopped_reason"]) == (
        200,
        "Well again, the vet says.",
    )
    # Nobody is told a volume of what is given no more.
    assert found["dose"]["volume"] is None
    assert found["dose"]["refusal"]["code"] == "stopped"
    assert (again.status_code, again.json()["code"]) == (409, "prescription_refused")


def test_read_and_filter_prescriptions(viewer: APIClient) -> None:
    row = prescribed()
    other = PrescriptionFactory.create(
        first_at=datetime(2026, 1, 1, tzinfo=UTC),
        until_on=date(2026, 1, 7),
        stopped_at=datetime(2026, 1, 2, tzinfo=UTC),
        stopped_by=UserFactory.create(),
        stopped_reason="The vet said so.",
    )

    assert ids(viewer, PRESCRIPTIONS, "") == [row.pk, other.pk]
    assert ids(viewer, PRESCRIPTIONS, "animal=V-1") == [row.pk]
    assert ids(viewer, PRESCRIPTIONS, "in_force=true") == [row.pk]
    assert ids(viewer, PRESCRIPTIONS, "from_on=2026-03-07") == [row.pk]
    listed = viewer.get(PRESCRIPTIONS).json()["results"]
    assert {found["caution"] for found in listed} == {DOSES.text}


# Doses.


def test_a_dose_that_was_given(db: None) -> None:
    row, client = prescribed(), ada()

    answer = client.post(GIVEN, given(row, note="Took it well."))
    again = client.post(GIVEN, given(row, note="Took it well."))

    dose = Dose.objects.get()
    found = answer.json()
    assert (answer.status_code, again.json()) == (201, found)
    assert found.pop("recorded_at").endswith("Z")
    assert found == entry(
        dose.pk,
        at=AT,
        note="Took it well.",
        prescription=row.pk,
        animal={"id": row.animal.pk, "code": "V-1"},
        drug="Invented syrup",
        due_at=DUE,
        outcome="given",
        # By hand: 0.1234 kg × 10 mg/kg at 10 mg/mL is 0.1234 mL; in steps 0.12 mL.
        volume_ml=0.12,
        computed_ml=0.1234,
        weighing=row.animal.weighings.get().pk,
        caution=DOSES.text,
    )


def test_a_dose_that_was_not_given(keeper: APIClient) -> None:
    row = prescribed()
    body = {"outcome": "not_given", "prescription": row.pk, "due_at": DUE}

    answer = keeper.post(GIVEN, {**body, "why": "It slept."})
    other = keeper.post(GIVEN, given(row))

    found = answer.json()
    assert (answer.status_code, found["outcome"]) == (201, "not_given")
    assert (found["note"], found["volume_ml"], found["weighing"]) == (
        *("It slept.", None, None),
    )
    assert found["caution"] == DOSES.text
    assert (other.status_code, other.json()["code"]) == (409, "dose_not_recorded")


@pytest.mark.parametrize(
    ("changes", "status", "code", "fields"),
    [
        ({"outcome": "lost"}, 400, "invalid_body", {"outcome": "given, not_given"}),
        (
            {"prescription": 2**63},
            400,
            "invalid_body",
            {"prescription": "int <= 9223372036854775807"},
        ),
        (
            {"prescription": 2**63 - 1},
            400,
            "unknown_prescription",
            {"prescription": "the number of a prescription"},
        ),
        ({"why": "It slept."}, 400, "invalid_body", None),
        ({"volume_ml": 0.5}, 400, "invalid_body", None),
        (
            {"due_at": "2026-03-02T09:01:00Z"},
            409,
            "dose_not_recorded",
            {"due_at": "due that day: 2026-03-02 09:00"},
        ),
        ({"due_at": "2199-12-31T23:59:59Z"}, 409, "dose_not_recorded", None),
        ({"given_at": "2190-01-01T00:00:00Z"}, 409, "care_entry_refused", None),
        ({"given_at": "2026-02-28T09:00:00Z"}, 409, "dose_not_recorded", None),
    ],
)
def test_a_dose_that_cannot_be_is_refused(
    changes: Json, status: int, code: str, fields: Json | None, keeper: APIClient
) -> None:
    row = prescribed()

    answer = keeper.post(GIVEN, given(row, **changes))

    problem = answer.json()
    assert (answer.status_code, problem["code"]) == (status, code)
    assert fields is None or problem["fields"] == fields
    assert not Dose.objects.exists()


def test_nobody_doubles_up(keeper: APIClient) -> None:
    row = prescribed()
    keeper.post(GIVEN, given(row, due_at="2026-03-01T09:00:00Z"))

    answer = keeper.post(GIVEN, given(row, given_at="2026-03-02T11:00:00Z"))

    assert answer.status_code == 409
    assert "Never double up" in answer.json()["detail"]


def test_no_weight_no_dose(keeper: APIClient) -> None:
    row = PrescriptionFactory.create()

    answer = keeper.post(GIVEN, given(row))

    assert (answer.status_code, answer.json()["code"]) == (409, "no_weight")


def test_strike_out_read_and_filter_doses(db: None) -> None:
    client, row = ada(), prescribed()
    number = client.post(GIVEN, given(row)).json()["id"]
    other = DoseFactory.create(at=datetime(2026, 3, 1, 9, tzinfo=UTC))
    struck = client.post(f"{GIVEN}{number}/strike/", {"reason": "It spat it out."})

    assert (struck.status_code, struck.json()["caution"]) == (200, DOSES.text)
    assert ids(client, GIVEN, "") == [number, other.pk]
    assert ids(client, GIVEN, "in_force=true") == [other.pk]
    assert ids(client, GIVEN, "animal=V-1") == [number]
    assert ids(client, GIVEN, f"prescription={row.pk}") == [number]
    assert ids(client, GIVEN, "outcome=not_given") == [other.pk]
    assert client.get(f"{GIVEN}{number}/").json()["struck_by"] == "Ada"
