"""What is asked and told after an animal has left."""

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import Q

from core.choices import choices
from placements.models.placements import Placement
from placements.rules.vocabulary import FollowUpKind, HomeReportKind


class FollowUp(models.Model):
    """A later question to a home how the animal is doing."""

    placement = models.ForeignKey(
        Placement, on_delete=models.PROTECT, related_name="follow_ups"
    )
    kind = models.CharField(max_length=14, choices=choices(FollowUpKind))
    due_on = models.DateField()
    answered_at = models.DateTimeField(null=True, blank=True)
    answers = models.JSONField(default=dict, encoder=DjangoJSONEncoder, blank=True)
    recorded_by = models.ForeignKey(
        "core.User",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="Empty: the home itself, on its private page.",
    )
    dropped_at = models.DateTimeField(null=True, blank=True)
    dropped_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["due_on", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["placement", "kind"], name="placements_followup_once"
            ),
            models.CheckConstraint(
                condition=Q(dropped_at__isnull=True) | ~Q(dropped_reason=""),
                name="placements_followup_dropped_with_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.placement}: {self.kind} due {self.due_on}"


class HomeReport(models.Model):
    """What a home tells of an animal by itself; shown, never mixed into our records."""

    placement = models.ForeignKey(
        Placement, on_delete=models.PROTECT, related_name="reports"
    )
    kind = models.CharField(max_length=8, choices=choices(HomeReportKind))
    on = models.DateField(help_text="Day it is about.")
    mass_g = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    eggs = models.PositiveSmallIntegerField(null=True, blank=True)
    note = models.TextField(blank=True)
    received_at = models.DateTimeField()
    recorded_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    seen_at = models.DateTimeField(null=True, blank=True)
    seen_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["placement", "on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind="weight", mass_g__isnull=False, mass_g__gt=0)
                | ~Q(kind="weight") & Q(mass_g__isnull=True),
                name="placements_homereport_weight_with_mass",
            ),
            models.CheckConstraint(
                condition=Q(kind="eggs", eggs__isnull=False)
                | ~Q(kind="eggs") & Q(eggs__isnull=True),
                name="placements_homereport_eggs_counted",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.placement}: {self.kind} of {self.on}"
