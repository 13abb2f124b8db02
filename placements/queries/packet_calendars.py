"""The days of a packet as a calendar file."""

from datetime import UTC, datetime, time

from core.feeds import write_feed
from placements.rules.packets.documents import PacketDocument
from placements.rules.packets.events import calendar_events


def packet_calendar(packet: PacketDocument) -> bytes:
    """Return the first twelve months in the new home as a calendar file.

    Args:
        packet: as `load_packet` returns it.

    Returns:
        A file by RFC 5545; the same packet gives the same bytes.

    Source:
        rfc-5545.
    """
    who = packet.document.animal.name or packet.document.animal.code
    made_at = datetime.combine(packet.made_on, time(), UTC)
    return write_feed(calendar_events(packet.document), name=who, at=made_at)
