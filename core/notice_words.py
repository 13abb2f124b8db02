"""What other programs can be told of, and how far a message has come."""

from dataclasses import dataclass
from enum import StrEnum


class NoticeKind(StrEnum):
    """What happened, as other programs are told."""

    FINDING_OPENED = "finding.opened"
    FINDING_CLOSED = "finding.closed"
    EGG_HATCHED = "egg.hatched"
    PLACEMENT_HANDED_OVER = "placement.handed_over"
    PACKET_READY = "packet.ready"
    PACKET_DRAWN = "packet.drawn"
    WEBHOOK_TEST = "webhook.test"


class DeliveryState(StrEnum):
    """How far one message to one webhook has come."""

    WAITING = "waiting"
    SENT = "sent"
    GIVEN_UP = "given_up"


class WebhookState(StrEnum):
    """Whether a webhook is sent to."""

    ACTIVE = "active"
    PAUSED = "paused"
    ENDED = "ended"


@dataclass(frozen=True, slots=True)
class About:
    """What a kind of notice is about: the record, and where the API shows it."""

    subject: str
    path: str


ABOUT = {
    NoticeKind.FINDING_OPENED: About("husbandry.finding", "findings/{}/"),
    NoticeKind.FINDING_CLOSED: About("husbandry.finding", "findings/{}/"),
    NoticeKind.EGG_HATCHED: About("clutches.egg", "eggs/{}/"),
    NoticeKind.PLACEMENT_HANDED_OVER: About("placements.placement", "placements/{}/"),
    NoticeKind.PACKET_READY: About("placements.packet", "packets/{}/"),
    NoticeKind.PACKET_DRAWN: About("placements.packetjob", "packet-jobs/{}/"),
    NoticeKind.WEBHOOK_TEST: About("core.webhook", "webhooks/{}/"),
}
# What a webhook can want; a test is sent to the one that is tested.
WANTABLE = tuple(kind for kind in NoticeKind if kind is not NoticeKind.WEBHOOK_TEST)
