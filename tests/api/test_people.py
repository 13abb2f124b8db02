"""People over the API, and what a token may not do to them."""

from typing import Any

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from core.models import AuditEntry, User
from core.roles import Role, TokenScope
from core.tokens import issue_token
from tests.factories import UserFactory

PEOPLE, ME = "/api/v1/people/", "/api/v1/me/"
PASSWORD = "dim warm room"
MARA: dict[str, Any] = {
    "username": "mara",
    "role": "keeper",
    "password": PASSWORD,
    "first_name": "Mara",
}


@pytest.fixture
def by_token(db: None) -> APIClient:
    """A client that an owner's token speaks for."""
    person = UserFactory(username="boss", role=Role.OWNER.value)
    issued = issue_token(
        user=person,
        name="script",
        scope=TokenScope.MANAGE,
        by=person,
        at=timezone.now(),
    )
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION=f"Bearer {issued.text}")
    return client


def test_a_person_is_registered_and_the_password_is_nowhere(owner: APIClient) -> None:
    answer = owner.post(PEOPLE, MARA)

    row = User.objects.get(username="mara")
    assert answer.status_code == 201
    found = answer.json()
    assert found.pop("date_joined").endswith("Z")
    assert found == {
        "id": row.pk,
        "username": "mara",
        "first_name": "Mara",
        "last_name": "",
        "email": "",
        "role": "keeper",
        "is_active": True,
        "temperature_unit": "C",
        "mass_unit": "g",
        "last_login": None,
    }
    assert row.check_password(PASSWORD)
    entry = AuditEntry.objects.latest("pk")
    assert PASSWORD not in f"{answer.content!r} {entry.before} {entry.after}"


@pytest.mark.parametrize(
    ("changes", "status", "field"),
    [
        ({"username": "taken"}, 409, "username"),
        ({"username": "no blanks"}, 409, "username"),
        ({"password": "12345678"}, 409, "password"),
        ({"password": 12345678}, 400, "password"),
        ({"role": "king"}, 400, "role"),
        ({"email": "nowhere"}, 409, "email"),
        ({"is_superuser": True}, 400, "is_superuser"),
    ],
)
def test_a_person_that_cannot_be_is_refused(
    changes: dict[str, Any], status: int, field: str, owner: APIClient
) -> None:
    UserFactory(username="taken")
    before = User.objects.count()

    answer = owner.post(PEOPLE, MARA | changes)

    assert (answer.status_code, list(answer.json()["fields"])) == (status, [field])
    assert "12345678" not in answer.content.decode()
    assert User.objects.count() == before


def test_a_person_is_changed(owner: APIClient) -> None:
    row = UserFactory(username="mara")

    answer = owner.post(
        f"{PEOPLE}{row.pk}/change/",
        {"role": "vet", "is_active": False, "temperature_unit": "F"},
    )

    assert answer.status_code == 200
    row.refresh_from_db()
    assert (row.role, row.is_active, row.temperature_unit) == ("vet", False, "F")
    assert answer.json() == owner.get(f"{PEOPLE}{row.pk}/").json()
    assert answer.json() in owner.get(PEOPLE).json()["results"]
    assert AuditEntry.objects.latest("pk").after["role"] == "vet"


def test_the_last_owner_stays_one(owner: APIClient) -> None:
    row = User.objects.get(role=Role.OWNER.value)

    answer = owner.post(f"{PEOPLE}{row.pk}/change/", {"role": "viewer"})

    assert (answer.status_code, answer.json()["code"]) == (409, "person_refused")


def test_a_new_password_is_set_and_not_answered(owner: APIClient) -> None:
    row = UserFactory(username="mara")
    address = f"{PEOPLE}{row.pk}/password/"

    weak = owner.post(address, {"password": "mara"})
    answer = owner.post(address, {"password": "a lamp at noon"})

    assert (weak.status_code, answer.status_code) == (409, 200)
    row.refresh_from_db()
    assert row.check_password("a lamp at noon")
    assert b"lamp at noon" not in answer.content
    assert AuditEntry.objects.latest("pk").verb == "set_password"


def test_by_a_token_those_who_manage_nobody_are_managed(by_token: APIClient) -> None:
    row = UserFactory(username="ina")

    made = by_token.post(PEOPLE, MARA)
    changed = by_token.post(f"{PEOPLE}{row.pk}/change/", {"role": "manager"})
    given = by_token.post(f"{PEOPLE}{row.pk}/password/", {"password": PASSWORD})

    assert [a.status_code for a in (made, changed, given)] == [201, 200, 200]


def test_by_a_token_nobody_becomes_or_stops_being_an_owner(by_token: APIClient) -> None:
    boss = User.objects.get(username="boss")
    other = UserFactory(role=Role.OWNER.value)
    keeper = UserFactory()
    asked = [
        (PEOPLE, MARA | {"role": "owner"}),
        (f"{PEOPLE}{keeper.pk}/change/", {"role": "owner"}),
        (f"{PEOPLE}{other.pk}/change/", {"is_active": False}),
        (f"{PEOPLE}{other.pk}/password/", {"password": PASSWORD}),
        (f"{PEOPLE}{boss.pk}/password/", {"password": PASSWORD}),
    ]

    answers = [by_token.post(address, body) for address, body in asked]

    assert {a.status_code for a in answers} == {403}
    assert "back office" in answers[0].json()["detail"]
    entries = AuditEntry.objects.exclude(verb="issue_token")
    assert not entries.exists()


def test_ones_own_units(viewer: APIClient) -> None:
    answer = viewer.post(f"{ME}units/", {"temperature_unit": "F"})

    assert answer.status_code == 200
    assert answer.json()["temperature_unit"] == "F"
    assert answer.json()["mass_unit"] == "g"
    assert viewer.post(f"{ME}units/", {"mass_unit": "oz"}).json()["mass_unit"] == "oz"
    row = User.objects.get()
    assert (row.temperature_unit, row.mass_unit) == ("F", "oz")


@pytest.mark.parametrize(
    ("body", "field"),
    [({"temperature_unit": "K"}, "temperature_unit"), ({"role": "owner"}, "role")],
)
def test_nothing_else_of_oneself(
    body: dict[str, str], field: str, viewer: APIClient
) -> None:
    answer = viewer.post(f"{ME}units/", body)

    assert (answer.status_code, list(answer.json()["fields"])) == (400, [field])
    assert User.objects.get().role == "viewer"
