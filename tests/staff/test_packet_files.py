"""A packet as a file for people: drawn, altered, or not to be drawn here."""

from io import BytesIO

import pytest
from pypdf import PdfReader

from core import printing
from core.roles import Role
from placements.actions.packets import make_packet
from placements.models import Packet
from tests.factories import NOW, PlacementFactory
from tests.staff.conftest import Visitor
from tests.staff.record_forms import text

pytestmark = pytest.mark.django_db


@pytest.fixture
def packet() -> Packet:
    return make_packet(placement=PlacementFactory.create(), by=None, at=NOW)


def test_a_packet_is_given_as_a_file(packet: Packet, visitor: Visitor) -> None:
    answer = visitor(Role.ADOPTION_COORDINATOR).get(f"/packets/{packet.pk}.pdf")

    assert (answer.status_code, answer.headers["Content-Type"]) == (
        *(200, "application/pdf"),
    )
    assert answer.headers["Content-Disposition"] == (
        f'attachment; filename="{packet.number}.pdf"'
    )
    pages = PdfReader(BytesIO(answer.content)).pages
    assert packet.number in "".join(page.extract_text() for page in pages)


def test_an_altered_packet_is_not_drawn(packet: Packet, visitor: Visitor) -> None:
    packet.snapshot["animal"]["sex"] = "male"
    packet.save()

    answer = visitor(Role.OWNER).get(f"/packets/{packet.pk}.pdf")

    assert answer.status_code == 409
    assert "content was changed after it was made" in text(answer)


def test_a_system_that_cannot_draw_says_what_to_install(
    packet: Packet, visitor: Visitor, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(printing, "LIBRARIES", ("libnowhere-1.0.so.0",))

    answer = visitor(Role.OWNER).get(f"/packets/{packet.pk}.pdf")

    assert answer.status_code == 503
    assert "libnowhere-1.0.so.0 is missing. On Debian run: apt-get" in text(answer)


def test_a_packet_that_is_none_is_not_found(visitor: Visitor) -> None:
    assert visitor(Role.OWNER).get("/packets/7777.pdf").status_code == 404
