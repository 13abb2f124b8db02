"""Webhooks: other programs that are told what happens, under a signature."""

from collections.abc import Sequence
from http import HTTPStatus
from typing import Annotated, ClassVar

from django.db.models import Q, QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.filters import FilterSet, WordFilter
from api.inputs import read_body, sent
from api.structs import In, Instant, Out
from api.views import Rows
from api.webhook_deliveries import DeliveryOut, shown_delivery
from core.models import Webhook
from core.notice_words import NoticeKind, WebhookState
from core.roles import Permission
from core.webhooks.actions import (
    WithSecret,
    change_webhook,
    end_webhook,
    make_webhook,
    pause_webhook,
    resume_webhook,
    rotate_secret,
    send_test,
)
from core.webhooks.addresses import LONGEST_URL
from core.webhooks.queries import deliveries, webhooks
from core.webhooks.sending import own_sender

NOT_STORED = {"Cache-Control": "no-store"}

Name = Annotated[
    str, Meta(min_length=1, max_length=80, description="What listens there.")
]
Kinds = Annotated[
    tuple[NoticeKind, ...],
    Meta(min_length=1, description="Of what it is told; any but `webhook.test`."),
]


class WebhookFilter(FilterSet):
    """Which webhooks."""

    state = WordFilter(WebhookState, method="standing")

    class Meta:
        model = Webhook
        fields = ["state"]

    def standing(
        self, rows: QuerySet[Webhook], name: str, value: WebhookState
    ) -> QuerySet[Webhook]:
        """Return those that are active, paused or ended."""
        ended = Q(ended_at__isnull=False)
        paused = Q(paused_at__isnull=False)
        wanted = {
            WebhookState.ENDED: ended,
            WebhookState.PAUSED: paused & ~ended,
            WebhookState.ACTIVE: ~paused & ~ended,
        }
        return rows.filter(wanted[value])


class WebhookIn(In, frozen=True):
    """Another program, and of what it is told."""

    name: Name
    url: Annotated[
        str,
        Meta(
            max_length=LONGEST_URL,
            description="Where messages are posted to: https, an address of the "
            "internet or of a network that this installation allows.",
        ),
    ]
    kinds: Kinds


class WebhookChangeIn(In, frozen=True):
    """What it is called and told of from now on; its address stays."""

    name: Name
    kinds: Kinds


class WhyIn(In, frozen=True):
    """Why, if anybody wants to say so."""

    reason: Annotated[str, Meta(max_length=200)] = ""


class WebhookOut(Out, frozen=True):
    """A webhook; its secret is kept nowhere."""

    about = Webhook
    id: int
    name: str
    url: str
    kinds: tuple[NoticeKind, ...]
    state: WebhookState
    made_at: Instant
    made_by: str | None
    before_until: Instant | None
    failing_since: Instant | None
    paused_at: Instant | None
    ended_at: Instant | None
    why: str


class WebhookSecretOut(Out, frozen=True):
    """A webhook and its secret, answered once."""

    webhook: WebhookOut
    secret: Annotated[
        str,
        Meta(
            description="Signs its messages (Standard Webhooks); `whsec_` and Base64."
        ),
    ]


class Webhooks(Rows[Webhook]):
    """The first made first. Their messages: `webhook-deliveries/`."""

    plural = "webhooks"
    permissions = dict.fromkeys(
        (
            *("list", "retrieve", "create", "change", "rotate"),
            *("pause", "resume", "end", "test"),
        ),
        Permission.SET_WEBHOOKS,
    )
    secret_answers: ClassVar[frozenset[str]] = frozenset({"create", "rotate"})
    filterset_class = WebhookFilter
    takes = {
        "create": WebhookIn,
        "change": WebhookChangeIn,
        "pause": WhyIn,
        "end": WhyIn,
    }
    gives = {
        "create": {HTTPStatus.CREATED: WebhookSecretOut},
        "rotate": WebhookSecretOut,
        "test": {HTTPStatus.CREATED: DeliveryOut},
    }
    out = WebhookOut
    searched = ("name", "url")
    orderable = ("id", "name")

    def get_queryset(self) -> QuerySet[Webhook]:
        """Return all webhooks."""
        return webhooks()

    def shown(self, rows: Sequence[Webhook]) -> list[WebhookOut]:
        """Return webhooks with who made them."""
        return [_shown(row) for row in rows]

    def create(self, request: Request) -> Response:
        """Let a program be told what happens here; its secret is answered this once.

        The address is looked at now and whenever a message is sent; 409 where it leads
        into the house.
        """
        given = read_body(sent(request), WebhookIn)
        made = make_webhook(
            name=given.name,
            url=given.url,
            kinds=given.kinds,
            sender=own_sender(),
            by=self.person,
            at=timezone.now(),
        )
        return _secret(made, HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def change(self, request: Request, **kwargs: str) -> Response:
        """Call it otherwise, or tell it of other things from now on."""
        given = read_body(sent(request), WebhookChangeIn)
        row = change_webhook(
            webhook=self.one(),
            name=given.name,
            kinds=given.kinds,
            by=self.person,
            at=timezone.now(),
        )
        return Response(_shown(row))

    @action(detail=True, methods=["post"])
    def rotate(self, request: Request, **kwargs: str) -> Response:
        """Give it a new secret, answered this once; for 24 hours both sign."""
        made = rotate_secret(webhook=self.one(), by=self.person, at=timezone.now())
        return _secret(made, HTTPStatus.OK)

    @action(detail=True, methods=["post"])
    def pause(self, request: Request, **kwargs: str) -> Response:
        """Send it nothing for now; what happens meanwhile waits for it."""
        given = read_body(sent(request), WhyIn)
        row = pause_webhook(
            webhook=self.one(),
            reason=given.reason,
            by=self.person,
            at=timezone.now(),
        )
        return Response(_shown(row))

    @action(detail=True, methods=["post"])
    def resume(self, request: Request, **kwargs: str) -> Response:
        """Send to it again, first what waited."""
        row = resume_webhook(webhook=self.one(), by=self.person, at=timezone.now())
        return Response(_shown(row))

    @action(detail=True, methods=["post"])
    def end(self, request: Request, **kwargs: str) -> Response:
        """Tell it nothing any more; what waits for it is given up."""
        given = read_body(sent(request), WhyIn)
        row = end_webhook(
            webhook=self.one(),
            reason=given.reason,
            by=self.person,
            at=timezone.now(),
        )
        return Response(_shown(row))

    @action(detail=True, methods=["post"])
    def test(self, request: Request, **kwargs: str) -> Response:
        """Let a message that says nothing wait for it; within a minute it is sent."""
        row = send_test(webhook=self.one(), by=self.person, at=timezone.now())
        told = shown_delivery(deliveries().get(pk=row.pk))
        return Response(told, status=HTTPStatus.CREATED)


def _secret(made: WithSecret, status: HTTPStatus) -> Response:
    told = WebhookSecretOut(webhook=_shown(made.webhook), secret=made.secret)
    return Response(told, status=status, headers=NOT_STORED)


def _shown(row: Webhook) -> WebhookOut:
    return WebhookOut(
        id=row.pk,
        name=row.name,
        url=row.url,
        kinds=tuple(NoticeKind(kind) for kind in row.kinds),
        state=row.state,
        made_at=row.made_at,
        made_by=row.made_by.username if row.made_by else None,
        before_until=row.before_until,
        failing_since=row.failing_since,
        paused_at=row.paused_at,
        ended_at=row.ended_at,
        why=row.why,
    )
