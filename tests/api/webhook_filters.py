"""What is asked of webhooks and their deliveries, and the two rows of each."""

from datetime import timedelta
from typing import Any

from tests.factories import NOW, DeliveryFactory, WebhookFactory

A_DAY_AGO = NOW - timedelta(days=1)

# What is asked of a list, and which of its two rows is the answer.
CASES = [
    ("webhooks", "state", "active", "a"),
    ("webhooks", "state", "paused", "b"),
    ("webhook-deliveries", "webhook", "{webhooks}", "a"),
    ("webhook-deliveries", "state", "given_up", "b"),
    ("webhook-deliveries", "kind", "egg.hatched", "b"),
    ("webhook-deliveries", "from_at", NOW.isoformat(), "a"),
    ("webhook-deliveries", "until_at", NOW.isoformat(), "b"),
]


def make_webhooks(a: dict[str, Any], b: dict[str, Any]) -> None:
    """Make two rows of each list."""
    a["webhooks"] = WebhookFactory()
    b["webhooks"] = WebhookFactory(paused_at=NOW)
    a["webhook-deliveries"] = DeliveryFactory(webhook=a["webhooks"])
    b["webhook-deliveries"] = DeliveryFactory(
        webhook=b["webhooks"],
        notice__kind="egg.hatched",
        notice__at=A_DAY_AGO,
        state="given_up",
        ended_at=NOW,
    )
