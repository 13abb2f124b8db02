"""Calendars: a person's own secret addresses of the feed, and the feed itself."""

from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from django.urls import reverse
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.filters import BooleanFilter, FilterSet
from api.inputs import read_body, sent
from api.permissions import SIGNED_IN
from api.renderers import Calendar
from api.structs import In, Instant, Out
from api.views import Rows
from core.calendars import issue_address, revoke_address
from core.models import CalendarAddress
from core.roles import Permission
from placements.queries.feeds import feed_for


class CalendarFilter(FilterSet):
    """Which addresses."""

    in_force = BooleanFilter(
        "revoked_at", "isnull", help_text="true: without those that were revoked."
    )

    class Meta:
        model = CalendarAddress
        fields = ["in_force"]


class CalendarIn(In, frozen=True, kw_only=True):
    """That an address is wanted."""

    name: Annotated[
        str,
        Meta(min_length=1, max_length=80, description="What reads it: “my phone”."),
    ]


class CalendarOut(Out, frozen=True):
    """An address of the feed; its secret part is kept nowhere."""

    about = CalendarAddress
    id: int
    name: str
    prefix: str
    created_at: Instant
    revoked_at: Instant | None
    last_used_at: Instant | None


class NewCalendarOut(CalendarOut, frozen=True):
    """A new address, answered once."""

    address: Annotated[
        str, Meta(description="Whoever has it reads the feed; keep it secret.")
    ]


class Calendars(Rows[CalendarAddress]):
    """One's own addresses, the first made first; nobody else's are shown."""

    plural = "calendar addresses"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        # One's own affair, as tokens are; an address outlives the token.
        "create": SIGNED_IN,
        "revoke": SIGNED_IN,
        "care": Permission.SEE_ANIMALS,
    }
    filterset_class = CalendarFilter
    takes = {"create": CalendarIn}
    secret_answers = frozenset({"create"})
    gives = {"create": {HTTPStatus.CREATED: NewCalendarOut}, "care": bytes}
    out = CalendarOut
    queryset = CalendarAddress.objects.none()  # for its description: nobody asks then
    ordering = ("created_at", "id")
    searched = ("name",)
    orderable = ("id", "created_at")

    def get_queryset(self) -> QuerySet[CalendarAddress]:
        """Return the addresses of who asks."""
        return CalendarAddress.objects.filter(user=self.person)

    def create(self, request: Request) -> Response:
        """Issue an address by which a calendar program reads the feed.

        It is answered this once and kept nowhere. It reads the feed without signing
        in until it is revoked, whatever becomes of the token that asked for it.
        """
        given = read_body(sent(request), CalendarIn)
        issued = issue_address(
            user=self.person, name=given.name, by=self.person, at=timezone.now()
        )
        row, path = issued.address, reverse("staff:calendar", args=[issued.text])
        answer = NewCalendarOut(
            id=row.pk,
            name=row.name,
            prefix=row.prefix,
            created_at=row.created_at,
            revoked_at=row.revoked_at,
            last_used_at=row.last_used_at,
            address=request.build_absolute_uri(path),
        )
        headers = {"Cache-Control": "no-store"}
        return Response(answer, status=HTTPStatus.CREATED, headers=headers)

    @action(detail=True, methods=["post"])
    def revoke(self, request: Request, **kwargs: str) -> Response:
        """Make one of your own addresses useless from now on; a second time: 409."""
        revoke_address(address=self.one(), by=self.person, at=timezone.now())
        return Response(self.shown([self.one()])[0])

    @action(detail=False, renderer_classes=[Calendar])
    def care(self, request: Request) -> Response:
        """Give the feed (RFC 5545) of what you may see, as an address gives it."""
        headers = {"Content-Disposition": 'inline; filename="care.ics"'}
        return Response(feed_for(self.person, at=timezone.now()), headers=headers)
