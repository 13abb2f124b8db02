"""Readings under codes that no probe has, kept until somebody says whose they are."""

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import Q

from core.choices import choices
from husbandry.rules.vocabulary import UnclaimedState


class UnclaimedReadings(models.Model):
    """What came under one unknown code, until it was claimed or discarded (ADR 0019)."""

    code = models.CharField(max_length=40, help_text="Of the probe, as it was sent.")
    state = models.CharField(
        max_length=9, choices=choices(UnclaimedState), default=UnclaimedState.WAITING
    )
    readings = models.PositiveIntegerField(
        help_text="Sent under it; the same instant in two batches counts twice."
    )
    first_at = models.DateTimeField(help_text="Of the earliest reading.")
    last_at = models.DateTimeField(help_text="Of the latest reading.")
    arrived_at = models.DateTimeField(help_text="When the first of them came in.")
    last_arrived_at = models.DateTimeField(help_text="When the last of them came in.")
    sent_by = models.ForeignKey(
        "core.User",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="Who sent the last of them.",
    )
    sent_with = models.CharField(
        max_length=80, blank=True, help_text="Name of the token it was sent with."
    )
    settled_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    settled_at = models.DateTimeField(
        null=True, blank=True, help_text="When it was claimed or discarded."
    )
    probe = models.ForeignKey(
        "husbandry.Probe",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="Whose they were, as somebody said who claimed them.",
    )
    reason = models.CharField(
        max_length=200, blank=True, help_text="Why they were discarded."
    )
    report = models.JSONField(
        encoder=DjangoJSONEncoder,
        default=dict,
        blank=True,
        help_text="What became of them when they were claimed.",
    )

    class Meta:
        verbose_name_plural = "unclaimed readings"
        ordering = ["-last_arrived_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["code"],
                condition=Q(state=UnclaimedState.WAITING.value),
                name="husbandry_unclaimedreadings_one_waiting",
            ),
            models.CheckConstraint(
                condition=Q(
                    state=UnclaimedState.WAITING.value,
                    settled_at__isnull=True,
                    settled_by__isnull=True,
                )
                | (
                    ~Q(state=UnclaimedState.WAITING.value) & Q(settled_at__isnull=False)
                ),
                name="husbandry_unclaimedreadings_settled",
            ),
            models.CheckConstraint(
                condition=Q(state=UnclaimedState.CLAIMED.value, probe__isnull=False)
                | (~Q(state=UnclaimedState.CLAIMED.value) & Q(probe__isnull=True)),
                name="husbandry_unclaimedreadings_claimed_for",
            ),
            models.CheckConstraint(
                condition=~Q(state=UnclaimedState.DISCARDED.value) | ~Q(reason=""),
                name="husbandry_unclaimedreadings_discarded_why",
            ),
            models.CheckConstraint(
                condition=Q(first_at__lte=models.F("last_at")),
                name="husbandry_unclaimedreadings_in_order",
            ),
        ]

    def __str__(self) -> str:
        return self.code


class UnclaimedBatch(models.Model):
    """What one batch brought under one unknown code; gone once that is settled."""

    unclaimed = models.ForeignKey(
        UnclaimedReadings, on_delete=models.CASCADE, related_name="batches"
    )
    digest = models.CharField(
        max_length=64, help_text="SHA-256: the same batch is kept once."
    )
    arrived_at = models.DateTimeField()
    readings = models.PositiveIntegerField()
    packed = models.BinaryField(help_text="As rules.unclaimed packs them.")

    class Meta:
        verbose_name_plural = "unclaimed batches"
        ordering = ["arrived_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["unclaimed", "digest"],
                name="husbandry_unclaimedbatch_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.unclaimed} ({self.arrived_at:%Y-%m-%d %H:%M})"
