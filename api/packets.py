"""Packets: what goes home with an animal, as it was frozen."""

from collections.abc import Sequence
from http import HTTPStatus
from typing import Annotated, Any

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.filters import (
    CharFilter,
    FilterSet,
    InstantFilter,
    WholeNumberFilter,
)
from api.inputs import read_body, sent
from api.packet_checks import PacketCheckAsked, PacketCheckOut, shown_check
from api.permissions import EVERYBODY
from api.placement_structs import row_named
from api.renderers import Calendar, Pdf
from api.structs import In, Instant, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from placements.actions.packets import make_packet
from placements.models import Packet, Placement
from placements.pdf import draw, draw_cards
from placements.queries.packet_calendars import packet_calendar
from placements.queries.packets import load_packet
from placements.rules.packets.documents import plain


class PacketFilter(FilterSet):
    """Which packets."""

    animal = CharFilter("placement__animal__code", help_text="Code of the animal.")
    number = CharFilter(help_text="As printed on it.")
    placement = WholeNumberFilter(
        "placement_id", least=0, most=2**63 - 1, help_text="Number of the placement."
    )
    from_at = InstantFilter(
        "made_at", "gte", help_text="Made at this instant or later."
    )
    until_at = InstantFilter("made_at", "lt", help_text="Made before this instant.")

    class Meta:
        model = Packet
        fields = [
            "animal",
            "number",
            "placement",
            *("from_at", "until_at"),
        ]


class PacketIn(In, frozen=True, kw_only=True):
    """Whose packet is to be made."""

    placement: Annotated[
        int,
        Meta(
            ge=1,
            le=2**63 - 1,
            description="Number of a placement, planned or handed over.",
        ),
    ]


class PacketOut(Out, frozen=True):
    """One version of what goes home with an animal."""

    about = Packet
    id: int
    number: str
    version: int
    placement: int
    animal: Ref | None
    sha256: str
    made_at: Instant


class PacketDetail(PacketOut, frozen=True):
    """A packet with everything that it says."""

    document: Annotated[
        dict[str, Any],
        Meta(
            description="As it was frozen, numbers as text. `sha256` is of its JSON "
            "in UTF-8 with sorted keys and no spaces; it was checked."
        ),
    ]


class Packets(Rows[Packet]):
    """Frozen, numbered, hashed; a correction is a new version."""

    plural = "packets"
    permissions = {
        "list": Permission.SEE_PLACEMENTS,
        "retrieve": Permission.SEE_PLACEMENTS,
        "create": Permission.MANAGE_PLACEMENTS,
        "pdf": Permission.SEE_PLACEMENTS,
        "cards": Permission.SEE_PLACEMENTS,
        "calendar": Permission.SEE_PLACEMENTS,
        "check": EVERYBODY,
    }
    asks = {"check": PacketCheckAsked}
    filterset_class = PacketFilter
    takes = {"create": PacketIn}
    gives = {
        "create": {HTTPStatus.CREATED: PacketOut},
        "retrieve": PacketDetail,
        "pdf": bytes,
        "cards": bytes,
        "calendar": bytes,
        "check": PacketCheckOut,
    }
    out = PacketOut
    ordering = ("-made_at", "-id")
    searched = ("number", "placement__animal__code")
    orderable = ("id", "number", "made_at")

    def get_queryset(self) -> QuerySet[Packet]:
        """Return all packets, without what they say."""
        return Packet.objects.select_related("placement__animal").defer("snapshot")

    def shown(self, rows: Sequence[Packet]) -> list[PacketOut]:
        """Return packets with their animal's code."""
        return [PacketOut(**_values(row)) for row in rows]

    def retrieve(self, request: Request, **kwargs: str) -> Response:
        """Show a packet with everything that it says, checked against its hash."""
        row, choose = self.one(), self.choosing()
        document = plain(load_packet(row.pk).document)
        return Response(choose(PacketDetail(**_values(row), document=document)))

    def create(self, request: Request) -> Response:
        """Make the packet that goes along, or a new version of it, at once.

        Where the newest version says the same already, it is that one. It is frozen,
        not drawn: for many, or for their files, ask `packet-jobs/`.
        """
        given = read_body(sent(request), PacketIn)
        placement = row_named(Placement, given.placement, "placement")
        assert placement is not None  # noqa: S101 - a number was given
        made = make_packet(placement=placement, by=self.person, at=timezone.now())
        (shown,) = self.shown([self.get_queryset().get(pk=made.pk)])
        return Response(shown, status=HTTPStatus.CREATED)

    @action(detail=True, renderer_classes=[Pdf])
    def pdf(self, request: Request, **kwargs: str) -> Response:
        """Draw a packet as PDF/UA, checked against its hash first."""
        row = self.one()
        return _file(draw(load_packet(row.pk)), f"{row.number}.pdf")

    @action(detail=True, renderer_classes=[Pdf])
    def cards(self, request: Request, **kwargs: str) -> Response:
        """Draw the card for its enclosure and the labels for its journey."""
        row = self.one()
        return _file(draw_cards(load_packet(row.pk)), f"{row.number}-cards.pdf")

    @action(detail=True, renderer_classes=[Calendar])
    def calendar(self, request: Request, **kwargs: str) -> Response:
        """Give its first twelve months as a calendar file (RFC 5545)."""
        row = self.one()
        return _file(packet_calendar(load_packet(row.pk)), f"{row.number}.ics")

    @action(detail=False)
    def check(self, request: Request) -> Response:
        """Say whether a packet that you hold is what is on record, and the newest.

        Whoever has number and digits may ask, signed in or not; nothing of what it
        says is told. Too many misses from one address are answered 429.
        """
        asked = self.asked
        assert isinstance(asked, PacketCheckAsked)  # noqa: S101 - see `asks`
        told = shown_check(asked, request)
        return Response(told, headers={"Cache-Control": "no-store"})


def _file(content: bytes, name: str) -> Response:
    disposition = f'attachment; filename="{name}"'
    return Response(content, headers={"Content-Disposition": disposition})


def _values(row: Packet) -> dict[str, Any]:
    return {
        "id": row.pk,
        "number": row.number,
        "version": row.version,
        "placement": row.placement_id,
        "animal": ref(row.placement.animal),
        "sha256": row.sha256,
        "made_at": row.made_at,
    }
