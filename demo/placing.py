"""Plan a home for one of the demo's animals, and make the packet that goes with it."""

from datetime import date, datetime, timedelta
from pathlib import Path

from core.models import User
from husbandry.models import Animal
from placements.actions.homes import add_home
from placements.actions.packets import make_packet
from placements.actions.placements import plan_placement
from placements.models import Packet
from placements.pdf import draw
from placements.queries.packets import load_packet
from placements.rules.vocabulary import PlacementKind

HOME = "Household Sandelhas"
HOME_CONTACT = (
    "Household Sandelhas, 12 Travessa do Poço, Vescora (invented for the demo)"
)
HOME_NOTES = "Visited on the twelfth day: enclosure complete, warm and misted."
LEAVES_AFTER = timedelta(days=6)


def pack(*, animal: Animal, until: date, by: User, at: datetime) -> Packet:
    """Plan the animal's placement and freeze its packet.

    Args:
        animal: in care.
        until: the last night of the demo; it is to leave six days later.
        by: the person.
        at: now.
    """
    home = add_home(name=HOME, contact=HOME_CONTACT, notes=HOME_NOTES, by=by, at=at)
    placement = plan_placement(
        animal=animal,
        home=home,
        kind=PlacementKind.ADOPTION,
        planned_on=until + LEAVES_AFTER,
        by=by,
        at=at,
    )
    return make_packet(placement=placement, by=by, at=at)


def print_packet(packet: Packet, *, folder: Path) -> Path:
    """Draw a packet as a PDF.

    Args:
        packet: on record.
        folder: where to; made if it is not there.

    Raises:
        PrintingUnavailableError: a library of the system is missing.
    """
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"packet-{packet.number}.pdf"
    path.write_bytes(draw(load_packet(packet.pk)))
    return path
