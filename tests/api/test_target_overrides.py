"""Target overrides: listed, agreed and withdrawn."""

from datetime import UTC, datetime, timedelta

import pytest
from rest_framework.test import APIClient

from core.models import AuditEntry
from core.roles import Role
from husbandry.models import Animal, TargetOverride
from tests.api.conftest import Caller
from tests.factories import NOW, AnimalFactory, TargetOverrideFactory, UserFactory

OVERRIDES = "/api/v1/target-overrides/"
# The door reads the clock, and an agreement does not hold for days that are past.
TODAY = datetime.now(UTC).date()
FORTNIGHT = {
    "from_on": (TODAY + timedelta(days=1)).isoformat(),
    "until_on": (TODAY + timedelta(days=14)).isoformat(),
}
BODY = {
    "animal": "V-1",
    "quantity": "temperature_c",
    "zone": "ambient",
    "period": "night",
    "low": 18,
    "high": 22.5,
    "hard_low": 15.25,
    **FORTNIGHT,
    "reason": "Kept warm at night while it recovers, on the vet's word.",
}


@pytest.fixture
def vet(caller: Caller) -> APIClient:
    return caller(Role.VET)


@pytest.fixture
def animal(db: None) -> Animal:
    return AnimalFactory(code="V-1")


def test_agree_and_withdraw(animal: Animal) -> None:
    client = APIClient()
    client.force_authenticate(UserFactory(first_name="Vera", role=Role.VET.value))

    agreed = client.post(OVERRIDES, BODY)

    row = TargetOverride.objects.get()
    said = agreed.json()
    made_at = said["made_at"]
    assert agreed.status_code == 201
    assert said == {
        "id": row.pk,
        "animal": {"id": animal.pk, "code": "V-1"},
        "quantity": "temperature_c",
        "zone": "ambient",
        "period": "night",
        "low": 18,
        "high": 22.5,
        "hard_low": 15.25,
        "hard_high": None,
        "tolerated_minutes": 60,
        **FORTNIGHT,
        "reason": "Kept warm at night while it recovers, on the vet's word.",
        "made_by": "Vera",
        "made_at": made_at,
        "withdrawn_at": None,
    }
    assert b'"high":22.500' in agreed.content  # the digits that are stored
    assert client.get(f"{OVERRIDES}{row.pk}/").json() == said

    withdrawn = client.post(f"{OVERRIDES}{row.pk}/withdraw/", {"reason": "It is well."})

    assert withdrawn.status_code == 200
    found = withdrawn.json()
    assert found["withdrawn_at"] >= made_at
    assert found | {"withdrawn_at": None} == said
    entry = AuditEntry.objects.latest("pk")
    assert (entry.verb, entry.reason) == ("withdraw_override", "It is well.")

    again = client.post(f"{OVERRIDES}{row.pk}/withdraw/", {"reason": "x"})

    assert (again.status_code, again.json()["code"]) == (409, "override_refused")


def test_the_newest_made_first(viewer: APIClient) -> None:
    old = TargetOverrideFactory(made_at=NOW - timedelta(days=1))
    new = TargetOverrideFactory(withdrawn_at=NOW)

    found = viewer.get(OVERRIDES).json()["results"]

    assert [row["id"] for row in found] == [new.pk, old.pk]


@pytest.mark.parametrize(
    ("more", "status", "code", "fields"),
    [
        ({"low": None, "high": None}, 409, "override_refused", {"low", "high"}),
        ({"low": 23}, 409, "override_refused", {"low"}),
        ({"high": 61}, 409, "override_refused", {"high"}),  # not believed of a probe
        ({"high": 1e300}, 400, "invalid_body", {"high"}),
        ({"high": True}, 400, "invalid_body", {"high"}),
        ({"tolerated_minutes": 1441}, 409, "override_refused", {"tolerated_minutes"}),
        ({"zone": "eggs"}, 409, "override_refused", {"zone"}),
        ({"from_on": "2026-01-01"}, 409, "override_refused", {"from_on"}),
        ({"until_on": "2199-01-01"}, 409, "override_refused", {"until_on"}),
        ({"until_on": None}, 400, "invalid_body", {"until_on"}),
        ({"reason": ""}, 400, "invalid_body", {"reason"}),
        ({"reason": " "}, 409, "override_refused", {"reason"}),
        ({"animal": "gone"}, 409, "override_refused", {"animal"}),
        ({"animal": "V-9"}, 400, "unknown_animal", {"animal"}),
        ({"quantity": "light"}, 400, "invalid_body", {"quantity"}),
    ],
)
@pytest.mark.usefixtures("animal")
def test_what_cannot_be_agreed_is_refused(
    more: dict[str, object], status: int, code: str, fields: set[str], vet: APIClient
) -> None:
    AnimalFactory(code="gone", left=True)

    answer = vet.post(OVERRIDES, BODY | more)

    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert set(answer.json()["fields"]) == fields
    assert not TargetOverride.objects.exists()


@pytest.mark.usefixtures("animal")
def test_two_agreements_for_the_same_spot_are_refused(vet: APIClient) -> None:
    vet.post(OVERRIDES, BODY)

    again = vet.post(OVERRIDES, BODY)

    assert (again.status_code, again.json()["code"]) == (409, "override_refused")
    assert TargetOverride.objects.count() == 1


@pytest.mark.parametrize("role", set(Role) - {Role.OWNER, Role.MANAGER, Role.VET})
def test_who_may_not(role: Role, caller: Caller, animal: Animal) -> None:
    client, row = caller(role), TargetOverrideFactory(animal=animal)

    made = client.post(OVERRIDES, BODY)
    withdrawn = client.post(f"{OVERRIDES}{row.pk}/withdraw/", {"reason": "x"})

    assert (made.status_code, withdrawn.status_code) == (403, 403)
    row.refresh_from_db()
    assert row.withdrawn_at is None
