"""The page that a packet's code leads to."""

import pytest
from django.test import Client

from placements.actions.packets import make_packet
from placements.models import Packet, Placement
from placements.queries.packet_checks import check_packet
from placements.rules.packets.checking import check_path, check_text
from tests.factories import NOW, OrganisationFactory, PlacementFactory, WeighingFactory
from tests.staff.record_forms import text

pytestmark = pytest.mark.django_db


@pytest.fixture
def placement() -> Placement:
    return PlacementFactory.create(animal__name="Juno", home__name="The Greys")


@pytest.fixture
def packet(placement: Placement) -> Packet:
    return make_packet(placement=placement, by=None, at=NOW)


def path_of(packet: Packet) -> str:
    return check_path(number=packet.number, sha256=packet.sha256)


def test_a_packet_on_record_is_told_and_nothing_of_what_it_says(
    packet: Packet, client: Client
) -> None:
    answer = client.get(path_of(packet))

    assert answer.status_code == 200
    found = text(answer)
    assert f"Packet {packet.number}" in found
    assert "unchanged since it was made" in found
    assert "It is the newest." in found
    for secret in ("Juno", "Greys", packet.placement.animal.code):
        assert secret not in answer.content.decode()
    assert answer.headers["X-Robots-Tag"] == "noindex, nofollow"
    assert answer.headers["Cache-Control"] == "no-store"


def test_an_older_version_names_the_newer_one(
    packet: Packet, placement: Placement, client: Client
) -> None:
    WeighingFactory.create(animal=placement.animal, at=NOW)
    newer = make_packet(placement=placement, by=None, at=NOW)

    found = text(client.get(path_of(packet)))

    assert f"A newer version was made: {newer.number}, version 2." in found
    assert "It is the newest" in text(client.get(path_of(newer)))


def test_a_copy_that_was_changed_is_told(packet: Packet, client: Client) -> None:
    packet.snapshot["keeper"] = "Somebody else"
    packet.save()

    assert "was changed since" in text(client.get(path_of(packet)))


def test_other_digits_and_no_such_number_say_the_same(
    packet: Packet, client: Client
) -> None:
    wrong = client.get(f"/check/{packet.number}/{'0' * 16}/")
    nowhere = client.get(f"/check/P-2026-7777/{packet.sha256[:16]}/")

    assert (wrong.status_code, nowhere.status_code) == (404, 404)
    assert text(wrong).replace(packet.number, "N") == (
        text(nowhere).replace("P-2026-7777", "N")
    )


@pytest.mark.parametrize(
    "digits", ["", "0" * 15, "g" * 16, "0" * 17, "0" * 64, "\u0660" * 16]
)
def test_what_are_no_digits_match_nothing(packet: Packet, digits: str) -> None:
    assert check_packet(number=packet.number, digits=digits) is None
    assert check_packet(number=f"{packet.number}\0", digits="0" * 16) is None


def test_digits_may_be_typed_in_capitals(packet: Packet, client: Client) -> None:
    path = f"/check/{packet.number}/{packet.sha256[:16].upper()}/"

    assert client.get(path).status_code == 200


def test_guessing_is_held(packet: Packet, client: Client) -> None:
    for _ in range(5):
        client.get(f"/check/{packet.number}/{'0' * 16}/")

    answer = client.get(path_of(packet))

    assert answer.status_code == 429
    assert answer.headers["Retry-After"] == "300"
    assert "Please wait" in text(answer)
    assert client.get(path_of(packet), REMOTE_ADDR="10.0.0.9").status_code == 200


def test_the_page_says_whom_to_ask(packet: Packet, client: Client) -> None:
    OrganisationFactory.create(name="Willow Bend", contact="1 Willow Bend")

    assert "1 Willow Bend" in text(client.get(path_of(packet)))


def test_what_the_code_says() -> None:
    sha256 = "ab" * 32

    assert check_text(number="P-1", sha256=sha256, address="") == f"P-1 {sha256}"
    assert check_text(number="P-1", sha256=sha256, address="https://keep.example/") == (
        "https://keep.example/check/P-1/abababababababab/"
    )
