"""Webhooks, and what was sent to them."""

from collections.abc import Collection
from datetime import datetime

from django.db.models import Prefetch, Q, QuerySet

from core.models import Attempt, Delivery, Webhook
from core.notice_words import DeliveryState


def webhooks() -> QuerySet[Webhook]:
    """Return all webhooks with who made them, in one query."""
    return Webhook.objects.select_related("made_by")


def deliveries() -> QuerySet[Delivery]:
    """Return all deliveries with message and attempts, in two queries."""
    tried = Attempt.objects.order_by("at", "pk")
    return Delivery.objects.select_related("notice", "webhook").prefetch_related(
        Prefetch("attempts", tried)
    )


def next_delivery(*, at: datetime, without: Collection[int]) -> Delivery | None:
    """Return the delivery that is due the longest and that no worker has.

    Args:
        at: now; whoever has had one past its lease died.
        without: numbers of webhooks that are left alone.
    """
    free = Q(leased_until__isnull=True) | Q(leased_until__lte=at)
    return (
        Delivery.objects.filter(
            free,
            state=DeliveryState.WAITING.value,
            next_at__lte=at,
            webhook__paused_at__isnull=True,
            webhook__ended_at__isnull=True,
        )
        .exclude(webhook__in=list(without))
        .select_related("webhook", "notice")
        .order_by("next_at", "pk")
        .first()
    )
