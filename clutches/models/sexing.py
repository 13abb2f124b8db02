"""Looks at heels, and whether one look is enough."""

from django.db import models

from clutches.rules.vocabulary import Heel
from core.choices import choices
from husbandry.models.records import CareRecord


class SpurCheck(CareRecord):
    """One person looked at the heels of one animal."""

    animal = models.ForeignKey(
        "husbandry.Animal", on_delete=models.PROTECT, related_name="spur_checks"
    )
    left = models.CharField(max_length=8, choices=choices(Heel))
    right = models.CharField(max_length=8, choices=choices(Heel))
    looked_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    photo = models.FileField(
        upload_to="spur_checks",
        max_length=200,
        blank=True,
        help_text="JPEG or PNG; where and by which camera is taken out of it.",
    )

    class Meta(CareRecord.Meta):
        ordering = ["-at", "-pk"]
        indexes = [
            # Read by: all looks at an animal's heels.
            models.Index(fields=["animal", "at"], name="clutches_spurcheck_when"),
        ]

    def __str__(self) -> str:
        return f"{self.animal}: {self.left}, {self.right} {self.at:%Y-%m-%d}"


class SexingPolicy(models.Model):
    """Whether a sex by heel spur needs a second person's look; the newest holds."""

    second_look = models.BooleanField(
        help_text="A sex counts as confirmed only after another person's look."
    )
    from_on = models.DateField()
    reason = models.CharField(max_length=300)
    decided_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, related_name="+"
    )
    decided_at = models.DateTimeField()

    class Meta:
        ordering = ["-from_on", "-pk"]
        verbose_name_plural = "sexing policies"

    def __str__(self) -> str:
        looks = "two looks" if self.second_look else "one look"
        return f"{looks} from {self.from_on}"
