"""A home's packets behind its private address."""

from io import BytesIO

import icalendar
import pytest
from django.test import Client
from django.utils import timezone
from pypdf import PdfReader

from placements.actions.packets import make_packet
from placements.actions.private_addresses import give_address
from placements.models import Packet, Placement
from tests.factories import NOW, PlacementFactory
from tests.staff.record_forms import text

pytestmark = pytest.mark.django_db


@pytest.fixture
def placement() -> Placement:
    return PlacementFactory.create(animal__name="Juno")


@pytest.fixture
def packet(placement: Placement) -> Packet:
    return make_packet(placement=placement, by=None, at=NOW)


@pytest.fixture
def secret(placement: Placement) -> str:
    _, found = give_address(placement=placement, by=None, at=timezone.now())
    return found


def test_a_home_finds_and_fetches_its_packet(
    packet: Packet, secret: str, client: Client
) -> None:
    page = text(client.get(f"/home/{secret}/"))
    assert f"Care plan and history, packet {packet.number}" in page

    base = f"/home/{secret}/packets/{packet.pk}"
    booklet = client.get(f"{base}/booklet/")
    days = client.get(f"{base}/days/")
    cards = client.get(f"{base}/cards/")

    pages = PdfReader(BytesIO(booklet.content)).pages
    assert packet.number in "".join(p.extract_text() for p in pages)
    assert list(icalendar.Calendar.from_ical(days.content).walk("VEVENT"))
    assert cards.content.startswith(b"%PDF-")
    for answer in (booklet, days, cards):
        assert answer.headers["Referrer-Policy"] == "no-referrer"
        assert answer.headers["Cache-Control"] == "no-store"


def test_only_its_own_and_only_the_newest(
    packet: Packet, secret: str, client: Client
) -> None:
    other = make_packet(placement=PlacementFactory.create(), by=None, at=NOW)

    base = f"/home/{secret}/packets"

    assert client.get(f"{base}/{other.pk}/booklet/").status_code == 404
    assert client.get(f"{base}/{packet.pk}/anything/").status_code == 404
    assert client.get(f"/home/nobody/packets/{packet.pk}/days/").status_code == 404


def test_nothing_is_given_of_a_placement_that_was_called_off(
    packet: Packet, secret: str, client: Client
) -> None:
    Placement.objects.update(state="called_off")

    assert client.get(f"/home/{secret}/packets/{packet.pk}/days/").status_code == 404
    assert "packet" not in text(client.get(f"/home/{secret}/")).lower()
