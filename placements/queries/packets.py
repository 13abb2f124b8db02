"""Packets read back, and counted."""

from collections.abc import Collection
from zoneinfo import ZoneInfo

from core.errors import NotFoundError
from placements.models import Packet, Placement
from placements.rules.packets.documents import PacketDocument, read_document


def load_packet(packet_id: int) -> PacketDocument:
    """Return a packet as frozen values, checked against the hash on record.

    Args:
        packet_id: primary key of the packet.

    Raises:
        NotFoundError: there is no such packet.
        PacketAlteredError: its content is not what was hashed.
    """
    packet = Packet.objects.filter(pk=packet_id).first()
    if packet is None:
        raise NotFoundError(f"There is no packet {packet_id}.")
    document = read_document(packet.snapshot, expected=packet.sha256)
    made_on = packet.made_at.astimezone(ZoneInfo(document.time_zone)).date()
    return PacketDocument(
        packet.number, packet.version, packet.sha256, made_on, document
    )


def packets_of(placement: Placement) -> list[Packet]:
    """Return a placement's packets, first version first."""
    return list(placement.packets.order_by("version"))


def first_packets_of_year(*, series: str) -> int:
    """Return how many first versions carry a number of a year's series."""
    return Packet.objects.filter(version=1, number__startswith=series).count()


def newest_packets(*, placement_ids: Collection[int]) -> list[Packet]:
    """Return the newest packet of each placement that has one, without what it says.

    Args:
        placement_ids: none gives none.

    Returns:
        In the order of their numbers, in one query.
    """
    rows = Packet.objects.filter(placement__in=placement_ids)
    rows = rows.select_related("placement__animal").defer("snapshot")
    newest = {row.placement_id: row for row in rows.order_by("version")}
    return sorted(newest.values(), key=lambda row: row.number)
