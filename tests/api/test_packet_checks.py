"""Whether a packet is on record, asked over the API by whoever holds it."""

from collections.abc import Callable
from typing import Any

import pytest
from rest_framework.test import APIClient

from core.roles import Role
from placements.actions.packets import make_packet
from placements.models import Packet, Placement
from tests.api.conftest import Caller
from tests.factories import NOW, PlacementFactory, WeighingFactory

pytestmark = pytest.mark.django_db
CHECK = "/api/v1/packets/check/"


@pytest.fixture
def placement() -> Placement:
    made: Placement = PlacementFactory(animal__name="Juno", home__name="The Greys")
    return made


@pytest.fixture
def packet(placement: Placement) -> Packet:
    return make_packet(placement=placement, by=None, at=NOW)


@pytest.fixture
def stranger() -> APIClient:
    return APIClient()


def _ask(client: APIClient, packet: Packet, **more: Any) -> Any:
    asked = {"number": packet.number, "digits": packet.sha256[:16], **more}
    return client.get(CHECK, asked)


def test_a_packet_on_record_is_told_and_nothing_of_what_it_says(
    packet: Packet, stranger: APIClient
) -> None:
    answer = _ask(stranger, packet)

    assert answer.status_code == 200
    assert answer.json() == {
        "number": packet.number,
        "version": 1,
        "intact": True,
        "is_newest": True,
        "newest_number": packet.number,
        "newest_version": 1,
    }
    assert answer.headers["Cache-Control"] == "no-store"
    for secret in ("Juno", "Greys", packet.placement.animal.code):
        assert secret not in answer.content.decode()


@pytest.mark.parametrize("role", Role)
def test_every_role_may_ask(role: Role, packet: Packet, caller: Caller) -> None:
    assert _ask(caller(role), packet).status_code == 200


def test_an_older_version_names_the_newer_one(
    packet: Packet, placement: Placement, stranger: APIClient
) -> None:
    WeighingFactory(animal=placement.animal, at=NOW)
    newer = make_packet(placement=placement, by=None, at=NOW)

    old, new = _ask(stranger, packet).json(), _ask(stranger, newer).json()

    assert (old["version"], old["is_newest"]) == (1, False)
    assert (old["newest_number"], old["newest_version"]) == (newer.number, 2)
    assert (new["version"], new["is_newest"]) == (2, True)


def test_a_copy_that_was_changed_is_told(packet: Packet, stranger: APIClient) -> None:
    packet.snapshot["keeper"] = "Somebody else"
    packet.save()

    assert _ask(stranger, packet).json()["intact"] is False


def test_digits_may_be_sent_in_capitals(packet: Packet, stranger: APIClient) -> None:
    answer = _ask(stranger, packet, digits=packet.sha256[:16].upper())

    assert answer.status_code == 200


def test_other_digits_and_no_such_number_say_the_same(
    packet: Packet, stranger: APIClient
) -> None:
    wrong = _ask(stranger, packet, digits="0" * 16)
    nowhere = _ask(stranger, packet, number="P-2026-7777")

    assert (wrong.status_code, wrong.json()["code"]) == (404, "not_found")
    assert wrong.json() == nowhere.json()


@pytest.mark.parametrize(
    ("asked", "code", "field"),
    [
        ({}, "no_number", "number"),
        ({"digits": "0" * 16}, "no_number", "number"),
        ({"number": "P-1"}, "no_digits", "digits"),
        ({"number": "P-1", "digits": "0" * 15}, "invalid_parameter", "digits"),
        ({"number": "P-1", "digits": "0" * 64}, "invalid_parameter", "digits"),
        ({"number": "P-1", "digits": "g" * 16}, "invalid_parameter", "digits"),
        ({"number": "P-1", "digits": "\u0660" * 16}, "invalid_parameter", "digits"),
        ({"number": "P-1", "who": "me"}, "unknown_parameter", "who"),
    ],
)
def test_what_is_no_number_and_no_digits_is_refused(
    stranger: APIClient, asked: dict[str, str], code: str, field: str
) -> None:
    answer = stranger.get(CHECK, asked)

    assert (answer.status_code, answer.json()["code"]) == (400, code)
    assert set(answer.json()["fields"]) == {field}


def test_guessing_is_held_by_address_and_knowing_is_not_counted(
    packet: Packet, stranger: APIClient, settings: Any
) -> None:
    settings.API_RATES = {**settings.API_RATES, "wrong-packet": (2, 86_400)}
    assert {_ask(stranger, packet).status_code for _ in range(4)} == {200}
    for _ in range(2):
        assert _ask(stranger, packet, digits="0" * 16).status_code == 404

    held = _ask(stranger, packet)

    assert (held.status_code, held.json()["code"]) == (429, "throttled")
    assert int(held.headers["Retry-After"]) > 0
    elsewhere = stranger.get(
        CHECK,
        {"number": packet.number, "digits": packet.sha256[:16]},
        REMOTE_ADDR="10.0.0.9",
    )
    assert elsewhere.status_code == 200


def test_an_answer_costs_two_queries(
    packet: Packet, stranger: APIClient, django_assert_num_queries: Callable[..., Any]
) -> None:
    with django_assert_num_queries(2):
        _ask(stranger, packet)
    with django_assert_num_queries(1):
        _ask(stranger, packet, digits="0" * 16)
