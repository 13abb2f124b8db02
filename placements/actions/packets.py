"""Build, freeze, number and hash packets."""

from datetime import datetime
from zoneinfo import ZoneInfo

from django.db import IntegrityError, transaction

from core import audit
from core.errors import DomainError
from core.models import User
from core.notice_words import NoticeKind
from core.notices import News, tell
from placements.actions.states import check_state
from placements.models import Packet, Placement
from placements.queries.facts import packet_facts
from placements.queries.packets import first_packets_of_year, packets_of
from placements.rules.packets.building import build_document
from placements.rules.packets.documents import Document, digest, plain
from placements.rules.packets.numbering import first_number, series, version_number
from placements.rules.vocabulary import PlacementState

# Each collision means that somebody else's packet was written meanwhile.
MOST_TRIES = 50


class PacketBusyError(DomainError):
    """Too many packets were made at the same moment."""

    code = "packet_busy"


@transaction.atomic
def make_packet(*, placement: Placement, by: User | None, at: datetime) -> Packet:
    """Build, freeze, number and hash the packet of a placement.

    Args:
        placement: planned, or handed over where a packet has to be corrected.
        by: the person.
        at: the history goes up to this instant.

    Returns:
        The packet. Where the newest version says the same already, that one;
        otherwise a new version, and the older ones stay as they are.

    Raises:
        PlacementStateError: the placement was called off.
        PacketBusyError: others took the number again and again.
    """
    check_state(placement, PlacementState.PLANNED, PlacementState.HANDED_OVER)
    document = build_document(packet_facts(placement=placement, at=at))
    snapshot = plain(document)
    for _ in range(MOST_TRIES):
        before = packets_of(placement)
        if before and before[-1].sha256 == digest(snapshot):
            return before[-1]
        try:
            with transaction.atomic():
                return _store(placement, document, before, by=by, at=at)
        except IntegrityError:
            # Another packet took the number or the version meanwhile. Count again.
            continue
    raise PacketBusyError("Other packets are being made at this moment. Try again.")


def _store(
    placement: Placement,
    document: Document,
    before: list[Packet],
    *,
    by: User | None,
    at: datetime,
) -> Packet:
    snapshot = plain(document)
    if before:
        version = before[-1].version + 1
        number = version_number(before[0].number, version)
    else:
        year = at.astimezone(ZoneInfo(document.time_zone)).year
        version = 1
        number = first_number(year, first_packets_of_year(series=series(year)))
    packet = Packet.objects.create(
        placement=placement,
        number=number,
        version=version,
        snapshot=snapshot,
        sha256=digest(snapshot),
        made_by=by,
        made_at=at,
    )
    after = audit.values(packet, "placement", "number", "version", "sha256")
    audit.record(packet, verb="make_packet", by=by, at=at, after=after)
    tell({NoticeKind.PACKET_READY}, lambda: [_news(packet)], at=at)
    return packet


def _news(packet: Packet) -> News:
    data = {
        "number": packet.number,
        "version": packet.version,
        "placement": packet.placement_id,
        "animal": packet.placement.animal.code,
    }
    return News(NoticeKind.PACKET_READY, packet.pk, data)
