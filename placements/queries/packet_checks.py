"""Whether a packet that somebody holds is what is on record."""

import re
import secrets
from dataclasses import dataclass

from placements.models import Packet
from placements.rules.packets.checking import SHOWN_DIGITS
from placements.rules.packets.documents import PacketAlteredError, read_document

_DIGITS = re.compile(rf"[0-9a-f]{{{SHOWN_DIGITS}}}")


@dataclass(frozen=True, slots=True)
class CheckedPacket:
    """What may be told to whoever holds a packet; nothing of what it says.

    Attributes:
        intact: the copy on record is still what was hashed when it was made.
        newest_number: number of the newest version; the packet's own where it is it.
    """

    number: str
    version: int
    intact: bool
    newest_number: str
    newest_version: int

    @property
    def is_newest(self) -> bool:
        """Say whether no later version was made."""
        return self.newest_version == self.version


def check_packet(*, number: str, digits: str) -> CheckedPacket | None:
    """Compare the digits on a packet with what is on record.

    Args:
        number: as printed on it.
        digits: the first 16 hexadecimal digits of its SHA-256, in small letters.

    Returns:
        None where no packet has this number, or where its digits are others: None
        does not say which.
    """
    # A database may trip on a sign that no number has.
    if not _DIGITS.fullmatch(digits) or not number.isprintable():
        return None
    packet = Packet.objects.filter(number=number[:20]).first()
    on_record = packet.sha256[:SHOWN_DIGITS] if packet else ""
    # Compared in any case, so that the time taken tells no number.
    same = secrets.compare_digest(on_record, digits)
    if packet is None or packet.number != number or not same:
        return None
    newest = (
        Packet.objects.filter(placement_id=packet.placement_id)
        .order_by("version")
        .values_list("number", "version")
        .last()
    )
    newest_number, newest_version = newest or (packet.number, packet.version)
    return CheckedPacket(
        packet.number, packet.version, _is_intact(packet), newest_number, newest_version
    )


def _is_intact(packet: Packet) -> bool:
    try:
        read_document(packet.snapshot, expected=packet.sha256)
    except PacketAlteredError:
        return False
    return True
