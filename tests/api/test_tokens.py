"""Tokens and devices at the door: the text once, and nobody beyond their own."""

import logging
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from rest_framework.test import APIClient

from core.models import ApiToken, AuditEntry
from core.roles import Role, TokenScope
from core.tokens import issue_token
from husbandry.models import Device, Probe, Reading
from tests.api.conftest import Caller
from tests.factories import (
    ApiTokenFactory,
    DeviceFactory,
    DeviceProbeFactory,
    ProbeFactory,
    UserFactory,
)

TOKENS, DEVICES, READINGS = "/api/v1/tokens/", "/api/v1/devices/", "/api/v1/readings/"
ME = "/api/v1/me/"
START = 1_772_409_600  # 2026-03-02T00:00:00Z


def _with(text: str) -> APIClient:
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION=f"Bearer {text}")
    return client


def _through(scope: TokenScope, role: Role = Role.OWNER, **asked: Any) -> APIClient:
    user = UserFactory(role=role.value)
    issued = issue_token(
        user=user, name="x", scope=scope, by=None, at=timezone.now(), **asked
    )
    return _with(issued.text)


# Tokens


def test_a_token_is_issued_and_its_text_is_answered_once(
    caller: Caller, caplog: pytest.LogCaptureFixture
) -> None:
    keeper = caller(Role.KEEPER)

    with caplog.at_level(logging.DEBUG):
        answer = keeper.post(TOKENS, {"name": "hourly copy"})

    assert (answer.status_code, answer["Cache-Control"]) == (201, "no-store")
    row, text = ApiToken.objects.get(), answer.json()["text"]
    assert answer.json()["token"] == {
        "id": row.pk,
        "name": "hourly copy",
        "person": row.user.username,
        "scope": "read",
        "prefix": row.prefix,
        "created_at": row.created_at.isoformat().replace("+00:00", "Z"),
        "expires_at": None,
        "revoked_at": None,
        "last_used_at": None,
    }
    assert _with(text).get(ME).json()["scope"] == "read"
    secret = text.split("_", 2)[2]
    later = keeper.get(TOKENS).content + keeper.get(f"{TOKENS}{row.pk}/").content
    told = [*AuditEntry.objects.values_list("after", "before"), later, caplog.text]
    assert secret not in str(told)
    assert row.digest not in later.decode()


def test_each_sees_and_revokes_their_own_and_who_manages_people_all(
    caller: Caller,
) -> None:
    keeper, owner = caller(Role.KEEPER), caller(Role.OWNER)
    mine = keeper.post(TOKENS, {"name": "mine"}).json()["token"]
    other = ApiTokenFactory()

    assert [row["id"] for row in keeper.get(TOKENS).json()["results"]] == [mine["id"]]
    assert keeper.get(f"{TOKENS}{other.pk}/").status_code == 404
    assert keeper.post(f"{TOKENS}{other.pk}/revoke/").status_code == 404
    assert len(owner.get(TOKENS).json()["results"]) == 2

    revoked = owner.post(f"{TOKENS}{mine['id']}/revoke/")
    again = keeper.post(f"{TOKENS}{mine['id']}/revoke/")

    assert revoked.json()["revoked_at"] is not None
    assert (again.status_code, again.json()["code"]) == (409, "token_refused")


def test_for_others_only_who_manages_people(caller: Caller) -> None:
    UserFactory(username="juno", role="keeper")
    UserFactory(username="gone", is_active=False)
    body = {"name": "x", "scope": "record", "person": "juno"}

    assert caller(Role.MANAGER).post(TOKENS, body).status_code == 403
    issued = caller(Role.OWNER).post(TOKENS, body)
    nobody = caller(Role.OWNER).post(TOKENS, {**body, "person": "gone"})

    assert issued.json()["token"]["person"] == "juno"
    assert (nobody.status_code, nobody.json()["code"]) == (400, "unknown_person")
    assert ApiToken.objects.count() == 1


def test_a_device_has_its_own_address(owner: APIClient) -> None:
    answer = owner.post(TOKENS, {"name": "hub", "scope": "ingest"})

    assert answer.status_code == 400
    assert "devices/" in answer.json()["detail"]
    assert answer.json()["fields"] == {"scope": "read, record, manage"}


@pytest.mark.django_db
def test_only_the_scope_manage_issues_and_revokes() -> None:
    for scope, status in (("read", 403), ("record", 403), ("manage", 201)):
        client = _through(TokenScope(scope))
        own = client.get(TOKENS).json()["results"][0]["id"]

        assert client.post(TOKENS, {"name": "y"}).status_code == status, scope
        if status == 403:
            answer = client.post(f"{TOKENS}{own}/revoke/")
            assert answer.status_code == 403
            assert "scope manage" in answer.json()["detail"]


@pytest.mark.django_db
def test_a_token_issues_none_that_lasts_longer() -> None:
    ends = timezone.now() + timedelta(days=1)
    client = _through(TokenScope.MANAGE, expires_at=ends)

    for after, status in ((0, 201), (1, 409)):
        until = (ends + timedelta(seconds=after)).isoformat()
        answer = client.post(TOKENS, {"name": "y", "expires_at": until})
        assert answer.status_code == status
    forever = client.post(TOKENS, {"name": "y"})

    assert (forever.status_code, forever.json()["code"]) == (409, "token_refused")
    assert "lasts no longer" in forever.json()["detail"]
    assert set(forever.json()["fields"]) == {"expires_at"}


@pytest.mark.django_db
def test_a_refusal_by_the_scope_names_the_scope() -> None:
    keeper = _through(TokenScope.READ, Role.KEEPER)

    own = keeper.post(READINGS, {})
    other = keeper.get("/api/v1/homes/")

    assert own.json()["detail"] == (
        "This needs the permission record_readings, which a token with the scope read "
        "does not let through."
    )
    assert "which the role keeper does not have" in other.json()["detail"]


@pytest.mark.django_db
def test_what_a_list_leaves_out_by_permission_heeds_the_scope() -> None:
    # Entries about people are for those who manage people; an owner's token that only
    # reads does not.
    person = UserFactory()
    AuditEntry.objects.create(
        at=timezone.now(), verb="x", subject="core.user", subject_id=str(person.pk)
    )

    def subjects(client: APIClient) -> set[str]:
        rows = client.get("/api/v1/audit-entries/").json()["results"]
        return {row["subject"] for row in rows}

    assert "core.user" in subjects(_through(TokenScope.MANAGE))
    assert "core.user" not in subjects(_through(TokenScope.READ))


# Devices


@pytest.fixture
def probes(db: None) -> list[Probe]:
    return [ProbeFactory(code=f"P-{n}") for n in (1, 2, 3)]


@pytest.mark.usefixtures("probes")
def test_a_device_is_registered_bound_unbound_and_revoked(caller: Caller) -> None:
    manager = caller(Role.MANAGER)

    made = manager.post(DEVICES, {"name": "hub", "probes": ["P-1", "P-2", "P-1"]})

    assert (made.status_code, made["Cache-Control"]) == (201, "no-store")
    device, text = made.json()["device"], made.json()["text"]
    address = f"{DEVICES}{device['id']}"
    assert [probe["code"] for probe in device["probes"]] == ["P-1", "P-2"]
    assert (device["token"]["scope"], device["token"]["name"]) == ("ingest", "hub")
    assert text.encode() not in manager.get(f"{address}/").content
    assert caller(Role.VIEWER).get(DEVICES).json()["results"] == [device]

    more = manager.post(f"{address}/bind/", {"probes": ["P-3"]})
    fewer = manager.post(f"{address}/unbind/", {"probes": ["P-1", "P-2"]})
    twice = manager.post(f"{address}/bind/", {"probes": ["P-3"]})
    nowhere = manager.post(f"{address}/bind/", {"probes": ["P-3", "P-9"]})
    revoked = manager.post(f"{address}/revoke/")

    assert [probe["code"] for probe in more.json()["probes"]] == ["P-1", "P-2", "P-3"]
    assert [probe["code"] for probe in fewer.json()["probes"]] == ["P-3"]
    assert (twice.status_code, twice.json()["code"]) == (409, "device_refused")
    assert (nowhere.status_code, nowhere.json()["code"]) == (400, "unknown_probe")
    assert revoked.json()["token"]["revoked_at"] is not None
    assert _with(text).post(READINGS, {}).status_code == 401
    assert manager.post(f"{address}/revoke/").status_code == 409


@pytest.mark.usefixtures("probes")
@pytest.mark.parametrize(
    ("body", "status", "code"),
    [
        ({"name": "hub", "probes": []}, 400, "invalid_body"),
        ({"name": "hub"}, 400, "invalid_body"),
        ({"name": "hub", "probes": ["P-9"]}, 400, "unknown_probe"),
        ({"name": " ", "probes": ["P-1"]}, 409, "token_refused"),
        (
            {"name": "hub", "probes": ["P-1"], "expires_at": "2026-01-01T00:00:00Z"},
            409,
            "token_refused",
        ),
        ({"name": "hub", "probes": ["P-1"], "person": "seer"}, 409, "device_refused"),
    ],
)
def test_a_device_that_cannot_be_is_refused_and_nothing_is_kept(
    body: dict[str, object], status: int, code: str, owner: APIClient
) -> None:
    UserFactory(username="seer", role="viewer")

    answer = owner.post(DEVICES, body)

    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert not Device.objects.exists()
    assert not ApiToken.objects.exists()


@pytest.fixture
def hub(probes: list[Probe]) -> APIClient:
    """Return a device that posts for P-1 and P-3."""
    issued = issue_token(
        user=UserFactory(),
        name="hub",
        scope=TokenScope.INGEST,
        by=None,
        at=timezone.now(),
    )
    device = DeviceFactory(token=issued.token)
    for probe in (probes[0], probes[2]):
        DeviceProbeFactory(device=device, probe=probe)
    return _with(issued.text)


def test_a_device_stores_its_own_and_is_told_of_each_other(hub: APIClient) -> None:
    rows = [
        {"probe": code, "at": START, "temperature_c": 24.0}
        for code in ("P-1", "P-2", "P-3", "P-9")
    ]

    answer = hub.post(READINGS, {"readings": rows})

    assert answer.status_code == 200
    found = answer.json()
    assert (found["received"], found["stored"], found["not_taken"]) == (4, 2, 1)
    assert (found["unclaimed"], found["unknown_probes"]) == (1, ["P-9"])
    assert [(row["index"], row["code"]) for row in found["refused"]] == [
        (1, "not_your_probe"),
    ]
    assert found["refused"][0]["sentence"] == (
        "This device does not post for the probe 'P-2'; bind it to the device, or send "
        "it with a token that may."
    )
    codes = Reading.objects.values_list("probe__code", flat=True)
    assert sorted(codes) == ["P-1", "P-3"]


def test_columns_of_another_probe_store_nothing(hub: APIClient) -> None:
    columns = {"probe": "P-2", "at": [START, START + 300], "temperature_c": [24, 25]}

    found = hub.post(READINGS, columns).json()

    assert (found["stored"], found["not_taken"]) == (0, 2)
    assert [row["code"] for row in found["refused"]] == ["not_your_probe"] * 2
    assert not Reading.objects.exists()


@pytest.mark.usefixtures("probes")
def test_a_device_without_probes_posts_nothing() -> None:
    client = _through(TokenScope.INGEST)

    found = client.post(
        READINGS, {"probe": "P-1", "at": [START], "temperature_c": [24]}
    ).json()

    assert (found["received"], found["stored"], found["not_taken"]) == (1, 0, 1)


def test_what_a_device_stored_before_it_was_unbound_stays(
    hub: APIClient, owner: APIClient
) -> None:
    columns = {"probe": "P-1", "at": [START], "temperature_c": [24]}
    hub.post(READINGS, columns)
    device = Device.objects.get()

    owner.post(f"{DEVICES}{device.pk}/unbind/", {"probes": ["P-1"]})
    again = hub.post(READINGS, {**columns, "at": [START + 300]}).json()

    assert again["refused"][0]["code"] == "not_your_probe"
    assert Reading.objects.count() == 1


def test_a_device_does_nothing_else(hub: APIClient) -> None:
    answer = hub.get(ME)

    assert answer.status_code == 403
    assert answer.json()["detail"] == (
        "A device's token posts readings of its probes and does nothing else."
    )


def test_binding_costs_one_query_more(hub: APIClient, keeper: APIClient) -> None:
    columns = {"probe": "P-1", "at": [START], "temperature_c": [24]}
    hub.post(READINGS, columns)

    def queries(client: APIClient) -> int:
        with CaptureQueriesContext(connection) as caught:
            assert client.post(READINGS, columns).status_code == 200
        return len(caught)

    # One finds its token, one the probes.
    assert queries(hub) == queries(keeper) + 2
