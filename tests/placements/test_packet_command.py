"""The packet made and written by hand."""

from datetime import date
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from placements.models import Packet
from tests import factories

pytestmark = pytest.mark.django_db


def test_packet_is_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    placement = factories.PlacementFactory(planned_on=date(2026, 3, 20))
    path = tmp_path / "packet.pdf"

    call_command("packet", placement.animal.code, file=path)

    packet = Packet.objects.get()
    assert path.read_bytes().startswith(b"%PDF-1.7")
    assert packet.sha256 in capsys.readouterr().out


def test_animal_without_a_placement_is_named() -> None:
    factories.PlacementFactory(animal__code="V-1", state="called_off")

    with pytest.raises(CommandError, match="'V-1' is planned or done"):
        call_command("packet", "V-1")

    assert not Packet.objects.exists()


def test_file_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    placement = factories.PlacementFactory()

    with pytest.raises(CommandError, match="cannot be written"):
        call_command("packet", placement.animal.code, file=tmp_path / "no" / "x.pdf")
