"""Health tests: taken, answered, mended, seen by a vet; each with its caution."""

from datetime import date

import pytest
from rest_framework.test import APIClient

from husbandry.models import HealthTest
from husbandry.rules.health.cautions import TESTS
from tests.api.racks import Json, ids
from tests.factories import AnimalFactory, HealthTestFactory

TESTED = "/api/v1/health-tests/"
TAKEN: Json = {
    "animal": "V-1",
    "kind": "faecal",
    "taken_on": "2026-02-20",
    "laboratory": "A laboratory of the tests",
    "expected_on": "2026-02-27",
}
FOUND: Json = {
    "result": "found",
    "result_on": "2026-02-25",
    "finding": "Few eggs, in the laboratory's words.",
}


def test_from_the_sample_to_the_vet(keeper: APIClient) -> None:
    animal = AnimalFactory.create(code="V-1")

    taken, again = keeper.post(TESTED, TAKEN), keeper.post(TESTED, TAKEN)

    row = HealthTest.objects.get()
    said = taken.json()
    assert (taken.status_code, again.json()) == (201, said)
    assert said.pop("recorded_at").endswith("Z")
    assert said.pop("recorded_by").startswith("person")
    assert said == {
        "id": row.pk,
        **TAKEN,
        "animal": {"id": animal.pk, "code": "V-1"},
        "result": "awaited",
        "result_on": None,
        "finding": "",
        "seen_by_vet_on": None,
        "caution": TESTS.text,
    }

    answered = keeper.post(f"{TESTED}{row.pk}/result/", FOUND)
    seen = keeper.post(f"{TESTED}{row.pk}/seen-by-vet/", {"on": "2026-02-26"})

    found = seen.json()
    del found["recorded_at"], found["recorded_by"]
    assert (answered.status_code, answered.json()["seen_by_vet_on"]) == (200, None)
    assert (seen.status_code, found) == (
        200,
        said | FOUND | {"seen_by_vet_on": "2026-02-26"},
    )


def test_without_a_day_it_is_today(keeper: APIClient) -> None:
    AnimalFactory.create(code="V-1")

    taken = keeper.post(TESTED, {"animal": "V-1", "kind": "blood"}).json()
    address = f"{TESTED}{taken['id']}/"
    keeper.post(f"{address}result/", {"result": "nothing_found"})
    seen = keeper.post(f"{address}seen-by-vet/").json()

    assert (
        taken["recorded_at"][:10]
        == taken["taken_on"]
        == seen["result_on"]
        == seen["seen_by_vet_on"]
    )


def test_a_result_is_mended_with_a_reason(keeper: APIClient) -> None:
    row = HealthTestFactory.create()
    address = f"{TESTED}{row.pk}/result/"
    keeper.post(address, FOUND)
    right = {"result": "nothing_found", "result_on": "2026-02-25"}

    without = keeper.post(address, right)
    mended = keeper.post(address, {**right, "reason": "Another animal's."})

    assert (without.status_code, without.json()["code"]) == (409, "health_test_refused")
    assert (mended.status_code, mended.json()["result"]) == (200, "nothing_found")


@pytest.mark.parametrize(
    ("changes", "status", "fields"),
    [
        ({"kind": "taste"}, 400, {"kind": "faecal, blood, swab, imaging, other"}),
        ({"animal": "V-9"}, 400, {"animal": "the code of an animal"}),
        ({"taken_on": "2190-01-01"}, 409, None),
        ({"expected_on": "2026-02-19"}, 409, {"expected_on": "2026-02-20 or later"}),
        ({"laboratory": "x" * 161}, 400, {"laboratory": "str of length <= 160"}),
    ],
)
def test_a_test_that_cannot_be_is_refused(
    changes: Json, status: int, fields: Json | None, keeper: APIClient
) -> None:
    AnimalFactory.create(code="V-1")

    answer = keeper.post(TESTED, {**TAKEN, **changes})

    assert answer.status_code == status
    assert fields is None or answer.json()["fields"] == fields
    assert not HealthTest.objects.exists()


@pytest.mark.parametrize(
    ("changes", "status", "fields"),
    [
        ({"result": "bad"}, 400, {"result": "awaited, nothing_found, found"}),
        ({"result": "awaited"}, 409, {"result": "nothing_found or found"}),
        ({"finding": ""}, 409, {"finding": "not blank"}),
        ({"result_on": "2026-02-19"}, 409, {"result_on": "2026-02-20 or later"}),
    ],
)
def test_a_result_that_cannot_be_is_refused(
    changes: Json, status: int, fields: Json, keeper: APIClient
) -> None:
    row = HealthTestFactory.create()

    answer = keeper.post(f"{TESTED}{row.pk}/result/", {**FOUND, **changes})

    assert (answer.status_code, answer.json()["fields"]) == (status, fields)
    row.refresh_from_db()
    assert row.result == "awaited"


def test_read_and_filter(viewer: APIClient) -> None:
    row = HealthTestFactory.create(animal=AnimalFactory.create(code="V-1"))
    other = HealthTestFactory.create(
        kind="blood",
        taken_on=date(2026, 1, 1),
        result="nothing_found",
        result_on=date(2026, 1, 5),
        seen_by_vet_on=date(2026, 1, 6),
    )

    assert ids(viewer, TESTED, "") == [row.pk, other.pk]
    assert ids(viewer, TESTED, "animal=V-1") == [row.pk]
    assert ids(viewer, TESTED, "kind=blood") == [other.pk]
    assert ids(viewer, TESTED, "result=awaited") == [row.pk]
    assert ids(viewer, TESTED, "seen_by_vet=true") == [other.pk]
    assert ids(viewer, TESTED, "seen_by_vet=false") == [row.pk]
    assert ids(viewer, TESTED, "from_on=2026-02-20") == [row.pk]
    assert ids(viewer, TESTED, "until_on=2026-01-01") == [other.pk]
    assert viewer.get(f"{TESTED}{other.pk}/").json()["caution"] == TESTS.text
