"""Make the packet of an animal's placement by hand and write it as a PDF."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from core.errors import DomainError
from core.printing import check_printing
from placements import pdf
from placements.actions.packets import make_packet
from placements.models import Placement
from placements.queries.packets import load_packet
from placements.queries.placements import placements
from placements.rules.vocabulary import PlacementState


class Command(BaseCommand):
    help = "Make the packet of an animal's placement and write it as a PDF."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("animal", help="the animal's code")
        parser.add_argument(
            "--file", type=Path, help="where to write; the packet's number by default"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        placement = _placement_of(options["animal"])
        try:
            check_printing()
            packet = make_packet(placement=placement, by=None, at=timezone.now())
            drawn = pdf.draw(load_packet(packet.pk))
        except DomainError as error:
            raise CommandError(error.sentence) from error
        path = options["file"] or Path(f"{packet.number}.pdf")
        try:
            path.write_bytes(drawn)
        except OSError as error:
            raise CommandError(
                f"{path} cannot be written: {error.strerror}."
            ) from error
        self.stdout.write(
            f"{path}: packet {packet.number}, version {packet.version}, "
            f"SHA-256 {packet.sha256}."
        )


def _placement_of(code: str) -> Placement:
    """Return the newest placement of an animal that was not called off."""
    found = (
        placements()
        .filter(animal__code=code)
        .exclude(state=PlacementState.CALLED_OFF.value)
        .last()
    )
    if found is None:
        raise CommandError(
            f"No placement of an animal {code!r} is planned or done. Plan one first."
        )
    return found
