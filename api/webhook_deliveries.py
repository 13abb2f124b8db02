"""Deliveries: each message to each webhook, with every attempt to send it."""

from collections.abc import Sequence
from typing import Annotated, Any

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.filters import FilterSet, InstantFilter, WholeNumberFilter, WordFilter
from api.structs import Instant, Out
from api.views import Rows
from core.models import Attempt, Delivery, Notice
from core.notice_words import DeliveryState, NoticeKind
from core.roles import Permission
from core.webhooks.actions import send_again
from core.webhooks.queries import deliveries


class DeliveryFilter(FilterSet):
    """Which deliveries."""

    webhook = WholeNumberFilter(
        "webhook_id", least=0, most=2**63 - 1, help_text="Number of the webhook."
    )
    state = WordFilter(DeliveryState)
    kind = WordFilter(NoticeKind, "notice__kind")
    from_at = InstantFilter("notice__at", "gte", help_text="First instant.")
    until_at = InstantFilter("notice__at", "lt", help_text="Up to which.")

    class Meta:
        model = Delivery
        fields = ["webhook", "state", "kind", "from_at", "until_at"]


class AttemptOut(Out, frozen=True):
    """One time that it was sent, and what came of it."""

    about = Attempt
    at: Instant
    status: int | None
    problem: str
    answer: str
    duration_ms: int | None


class NoticeOut(Out, frozen=True):
    """What happened."""

    about = Notice
    key: str
    kind: NoticeKind
    at: Instant
    subject: str
    subject_id: int
    data: dict[str, Any]


class DeliveryOut(Out, frozen=True):
    """One message to one webhook."""

    about = Delivery
    id: int
    webhook: Annotated[int, Meta(description="Number of the webhook.")]
    notice: NoticeOut
    state: DeliveryState
    tries: int
    next_at: Annotated[
        Instant | None, Meta(description="Not sent before; null once it is over.")
    ]
    ended_at: Instant | None
    attempts: Annotated[
        tuple[AttemptOut, ...], Meta(description="All of them, the first one first.")
    ]


class WebhookDeliveries(Rows[Delivery]):
    """The newest first; kept for ninety days."""

    plural = "deliveries to webhooks"
    permissions = dict.fromkeys(("list", "retrieve", "again"), Permission.SET_WEBHOOKS)
    filterset_class = DeliveryFilter
    out = DeliveryOut
    ordering = ("-id",)
    orderable = ("id",)

    def get_queryset(self) -> QuerySet[Delivery]:
        """Return all deliveries."""
        return deliveries()

    def shown(self, rows: Sequence[Delivery]) -> list[DeliveryOut]:
        """Return deliveries with their messages and attempts."""
        return [shown_delivery(row) for row in rows]

    @action(detail=True, methods=["post"])
    def again(self, request: Request, **kwargs: str) -> Response:
        """Send a message once more, under its old name; 409 while it waits."""
        send_again(delivery=self.one(), by=self.person, at=timezone.now())
        return Response(shown_delivery(self.one()))


def shown_delivery(row: Delivery) -> DeliveryOut:
    """Return a delivery as it is answered."""
    notice = row.notice
    return DeliveryOut(
        id=row.pk,
        webhook=row.webhook_id,
        notice=NoticeOut(
            key=notice.key,
            kind=NoticeKind(notice.kind),
            at=notice.at,
            subject=notice.subject,
            subject_id=notice.subject_id,
            data=notice.data,
        ),
        state=DeliveryState(row.state),
        tries=row.tries,
        next_at=row.next_at if row.ended_at is None else None,
        ended_at=row.ended_at,
        attempts=tuple(
            AttemptOut(
                at=one.at,
                status=one.status,
                problem=one.problem,
                answer=one.answer,
                duration_ms=one.duration_ms,
            )
            for one in row.attempts.all()
        ),
    )
