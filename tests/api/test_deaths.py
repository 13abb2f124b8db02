"""Deaths and necropsies, each with its caution."""

from datetime import date

import pytest
from rest_framework.test import APIClient

from husbandry.models import Animal, Death
from husbandry.rules.health.cautions import DEATHS
from tests.api.racks import Json, ids
from tests.factories import AnimalFactory, DeathFactory, StayFactory

DEAD = "/api/v1/deaths/"
DIED: Json = {
    "animal": "V-1",
    "on": "2026-03-02",
    "circumstances": "Found dead in the morning.",
}
NECROPSY: Json = {
    "on": "2026-03-04",
    "necropsy_by": "A licensed vet of the tests",
    "necropsy": "In the vet's words.",
}


def test_death_and_necropsy(owner: APIClient) -> None:
    animal = StayFactory.create(animal=AnimalFactory.create(code="V-1")).animal

    died, again = owner.post(DEAD, DIED), owner.post(DEAD, DIED)

    row = Death.objects.get()
    said = died.json()
    assert (died.status_code, again.status_code) == (201, 409)
    assert again.json()["code"] == "death_refused"
    assert said.pop("recorded_at").endswith("Z")
    assert said.pop("recorded_by").startswith("person")
    assert said == {
        "id": row.pk,
        **DIED,
        "animal": {"id": animal.pk, "code": "V-1"},
        "euthanised_by": "",
        "necropsy_on": None,
        "necropsy_by": "",
        "necropsy": "",
        "caution": DEATHS.text,
    }
    animal.refresh_from_db()
    assert (animal.status, animal.left_on) == ("dead", date(2026, 3, 2))

    looked = owner.post(f"{DEAD}{row.pk}/necropsy/", NECROPSY)
    twice = owner.post(f"{DEAD}{row.pk}/necropsy/", NECROPSY)

    found = looked.json()
    assert (looked.status_code, found["necropsy_on"]) == (200, "2026-03-04")
    assert (found["necropsy"], found["caution"]) == ("In the vet's words.", DEATHS.text)
    assert twice.status_code == 409


def test_without_a_day_it_is_today(owner: APIClient) -> None:
    AnimalFactory.create(code="V-1")

    died = owner.post(DEAD, {"animal": "V-1", "circumstances": "Found dead."}).json()
    looked = owner.post(
        f"{DEAD}{died['id']}/necropsy/",
        {"necropsy_by": "A licensed vet of the tests", "necropsy": "Nothing found."},
    ).json()

    assert died["on"] == looked["necropsy_on"] == died["recorded_at"][:10]


@pytest.mark.parametrize(
    ("changes", "status", "fields"),
    [
        ({"animal": "V-9"}, 400, {"animal": "the code of an animal"}),
        ({"circumstances": ""}, 400, {"circumstances": "str of length >= 1"}),
        ({"circumstances": " "}, 409, {"circumstances": "not blank"}),
        (
            {"circumstances": "x" * 4001},
            400,
            {"circumstances": "str of length <= 4000"},
        ),
        ({"on": "2190-01-01"}, 409, None),
    ],
)
def test_a_death_that_cannot_be_is_refused(
    changes: Json, status: int, fields: Json | None, owner: APIClient
) -> None:
    AnimalFactory.create(code="V-1")

    answer = owner.post(DEAD, {**DIED, **changes})

    assert answer.status_code == status
    assert fields is None or answer.json()["fields"] == fields
    assert not Death.objects.exists()
    assert Animal.objects.get().status == "in_care"


def test_read_and_filter(viewer: APIClient) -> None:
    row = DeathFactory.create(animal__code="V-1")
    other = DeathFactory.create(
        on=date(2026, 1, 1),
        necropsy_on=date(2026, 1, 2),
        necropsy_by="A licensed vet of the tests",
        necropsy="Nothing found.",
    )

    assert ids(viewer, DEAD, "") == [row.pk, other.pk]
    assert ids(viewer, DEAD, "animal=V-1") == [row.pk]
    assert ids(viewer, DEAD, "necropsy=true") == [other.pk]
    assert ids(viewer, DEAD, "necropsy=false") == [row.pk]
    assert ids(viewer, DEAD, "from_on=2026-03-02") == [row.pk]
    assert ids(viewer, DEAD, "until_on=2026-01-01") == [other.pk]
    assert viewer.get(f"{DEAD}{other.pk}/").json()["caution"] == DEATHS.text
