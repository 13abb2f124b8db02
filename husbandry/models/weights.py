"""Weighings: appended, never altered; a correction names what it corrects."""

from django.db import models
from django.db.models import Q


class Weighing(models.Model):
    animal = models.ForeignKey(
        "husbandry.Animal", on_delete=models.PROTECT, related_name="weighings"
    )
    at = models.DateTimeField()
    mass_g = models.DecimalField(max_digits=9, decimal_places=2, help_text="Grams.")
    recorded_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    recorded_at = models.DateTimeField()
    corrects = models.OneToOneField(
        "self",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="corrected_by",
        help_text="The weighing that this one replaces.",
    )
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["animal", "at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(mass_g__gt=0), name="husbandry_weighing_mass_positive"
            ),
            models.UniqueConstraint(
                fields=["animal", "at"],
                condition=Q(corrects__isnull=True),
                name="husbandry_weighing_once_an_instant",
            ),
        ]
        indexes = [
            # Read by: an animal's newest weighing, and its history in order.
            models.Index(fields=["animal", "at"], name="husbandry_weighing_history"),
            # Read by: the API's lists of all animals, by when it was and was recorded.
            models.Index(fields=["at"], name="husbandry_weighing_at"),
            models.Index(fields=["recorded_at"], name="husbandry_weighing_recorded"),
        ]

    def __str__(self) -> str:
        return f"{self.animal}: {self.mass_g} g on {self.at:%Y-%m-%d}"
