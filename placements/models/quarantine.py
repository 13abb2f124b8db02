"""What has to be so before quarantine ends, and the decision that it has."""

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models

from core.choices import choices
from husbandry.rules.vocabulary import HealthTestKind


class QuarantinePolicy(models.Model):
    """How newcomers of a species are kept apart; the newest row holds."""

    species = models.ForeignKey(
        "husbandry.Species",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="Empty: all that have no policy of their own.",
    )
    needed = models.BooleanField(
        default=True, help_text="Newcomers are put into quarantine at all."
    )
    group = models.CharField(
        max_length=40,
        default="reptiles",
        help_text="A newcomer of the same group in the same room restarts the clock.",
    )
    days = models.PositiveSmallIntegerField(help_text="At least so many days.")
    tests = models.PositiveSmallIntegerField(
        default=0, help_text="So many tests without findings, one after the other."
    )
    test_kind = models.CharField(
        max_length=10,
        choices=choices(HealthTestKind),
        default=HealthTestKind.FAECAL.value,
    )
    tests_apart_days = models.PositiveSmallIntegerField(
        default=0, help_text="Days between them, at least."
    )
    weight_days = models.PositiveSmallIntegerField(
        default=0,
        help_text="So many days back the weight has to be steady; 0: not asked.",
    )
    most_loss_pct = models.DecimalField(
        max_digits=4,
        decimal_places=1,
        default=0,
        help_text="Loss over those days that is still steady, percent.",
    )
    reason = models.TextField()
    made_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["species", "-made_at", "-pk"]
        verbose_name_plural = "quarantine policies"

    def __str__(self) -> str:
        return f"{self.species or 'all others'}: {self.days} days"


class Clearance(models.Model):
    """That somebody ended an animal's quarantine, and on what evidence."""

    quarantine = models.OneToOneField(
        "husbandry.Quarantine", on_delete=models.PROTECT, related_name="+"
    )
    on = models.DateField()
    criteria = models.JSONField(
        encoder=DjangoJSONEncoder,
        help_text="Each criterion with its evidence, as it was.",
    )
    despite = models.TextField(
        blank=True, help_text="Why it ended although a criterion was not met."
    )
    cleared_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    cleared_at = models.DateTimeField()

    class Meta:
        ordering = ["-cleared_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.quarantine} cleared on {self.on}"
