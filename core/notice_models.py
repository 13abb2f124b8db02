"""Webhooks, what they are told, and every attempt to tell them.

Apart from `core.models`, which shows them to Django, so that both stay readable.
"""

from django.db import models
from django.db.models import Q

from core.choices import choices
from core.notice_words import DeliveryState, NoticeKind, WebhookState


class Webhook(models.Model):
    """An address of another program that is told what happens here."""

    name = models.CharField(max_length=80, help_text="What listens there.")
    url = models.CharField(max_length=500, help_text="Where messages are posted to.")
    kinds = models.JSONField(help_text="What it is told of.")
    nonce = models.CharField(
        max_length=64, help_text="What its secret is derived from; not the secret."
    )
    nonce_before = models.CharField(
        max_length=64, blank=True, help_text="Of the secret before."
    )
    before_until = models.DateTimeField(
        null=True, blank=True, help_text="Until when the secret before signs along."
    )
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    failing_since = models.DateTimeField(
        null=True, blank=True, help_text="First failure since it last took a message."
    )
    paused_at = models.DateTimeField(
        null=True, blank=True, help_text="Since when nothing is sent to it."
    )
    ended_at = models.DateTimeField(
        null=True, blank=True, help_text="Since when it is told nothing any more."
    )
    why = models.CharField(
        max_length=200, blank=True, help_text="Why it was paused or ended."
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(nonce_before="", before_until__isnull=True)
                | (~Q(nonce_before="") & Q(before_until__isnull=False)),
                name="core_webhook_secret_before_has_an_end",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def state(self) -> WebhookState:
        """Return whether it is sent to."""
        if self.ended_at is not None:
            return WebhookState.ENDED
        if self.paused_at is not None:
            return WebhookState.PAUSED
        return WebhookState.ACTIVE


class Notice(models.Model):
    """One thing that happened and that somebody listens for. Never altered."""

    key = models.CharField(
        max_length=40,
        unique=True,
        help_text="The message's name; the same however often it is sent.",
    )
    kind = models.CharField(max_length=40, choices=choices(NoticeKind))
    at = models.DateTimeField(db_index=True, help_text="When it was recorded.")
    subject = models.CharField(max_length=60, help_text="Kind of record, as app.model.")
    subject_id = models.BigIntegerField(help_text="Number of the record.")
    data = models.JSONField(help_text="What is told of it beside number and address.")

    def __str__(self) -> str:
        return f"{self.kind} {self.subject} {self.subject_id}"


class Delivery(models.Model):
    """One message to one webhook: a row with a state, claimed by who sends it."""

    webhook = models.ForeignKey(
        Webhook, on_delete=models.PROTECT, related_name="deliveries"
    )
    notice = models.ForeignKey(
        Notice, on_delete=models.CASCADE, related_name="deliveries"
    )
    state = models.CharField(
        max_length=10,
        choices=choices(DeliveryState),
        default=DeliveryState.WAITING.value,
    )
    tries = models.PositiveSmallIntegerField(
        default=0, help_text="Begun since it was last asked for."
    )
    next_at = models.DateTimeField(help_text="Not sent before.")
    leased_until = models.DateTimeField(
        null=True, blank=True, help_text="Until when a worker has it."
    )
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name_plural = "deliveries"
        constraints = [
            models.UniqueConstraint(
                fields=["webhook", "notice"], name="core_delivery_once_per_webhook"
            ),
            models.CheckConstraint(
                condition=Q(state="waiting", ended_at__isnull=True)
                | (~Q(state="waiting") & Q(ended_at__isnull=False)),
                name="core_delivery_waits_or_ended",
            ),
        ]
        indexes = [
            # Read by: what is to be sent next.
            models.Index(
                fields=["next_at", "id"],
                condition=Q(state="waiting"),
                name="core_delivery_waiting",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.notice} to {self.webhook}"


class Attempt(models.Model):
    """One time that a message was sent, and what came of it. Never altered."""

    delivery = models.ForeignKey(
        Delivery, on_delete=models.CASCADE, related_name="attempts"
    )
    at = models.DateTimeField(help_text="When it began.")
    status = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="The answer's HTTP status; empty: none came."
    )
    problem = models.CharField(
        max_length=300, blank=True, help_text="Why it did not succeed."
    )
    answer = models.CharField(
        max_length=200, blank=True, help_text="How the answer's body begins."
    )
    duration_ms = models.PositiveIntegerField(
        null=True, blank=True, help_text="Milliseconds; empty: its end was not seen."
    )

    class Meta:
        ordering = ["delivery", "at", "pk"]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M:%S} {self.status or self.problem}"
