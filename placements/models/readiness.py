"""What a home tells of the enclosure it has made ready, and how that was judged."""

from django.core.serializers.json import DjangoJSONEncoder
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q

from core.choices import choices
from core.zones import check_zone
from husbandry.rules.vocabulary import EnclosureKind, Quantity, Sex, Zone
from placements.models.homes import Home
from placements.rules.vocabulary import Readiness, UvbLamp


class HomeEnclosure(models.Model):
    """An enclosure in a home, as the home describes it."""

    home = models.ForeignKey(Home, on_delete=models.PROTECT, related_name="enclosures")
    label = models.CharField(max_length=60, help_text="As the home calls it.")
    kind = models.CharField(max_length=12, choices=choices(EnclosureKind))
    width_cm = models.DecimalField(
        max_digits=6, decimal_places=1, validators=[MinValueValidator(1)]
    )
    depth_cm = models.DecimalField(
        max_digits=6, decimal_places=1, validators=[MinValueValidator(1)]
    )
    height_cm = models.DecimalField(
        max_digits=6, decimal_places=1, validators=[MinValueValidator(1)]
    )
    time_zone = models.CharField(max_length=60, validators=[check_zone])
    lights_on = models.TimeField(help_text="Local time.")
    lights_off = models.TimeField(help_text="Local time.")
    uvb_lamp = models.CharField(max_length=12, choices=choices(UvbLamp))
    uvb_percent = models.DecimalField(
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        help_text="Share of UVB that is printed on the lamp, percent.",
    )
    uvb_distance_cm = models.DecimalField(
        max_digits=5,
        decimal_places=1,
        null=True,
        blank=True,
        help_text="From the lamp to the highest perch.",
    )
    uvb_through_screen = models.BooleanField(
        default=False, help_text="The lamp shines through a screen."
    )
    laying_bin = models.BooleanField(default=False)
    other_animals = models.PositiveSmallIntegerField(
        default=0, help_text="Animals that live in it already."
    )
    sees_others = models.BooleanField(
        null=True,
        blank=True,
        help_text="Another of its kind can be seen from inside; empty: not said.",
    )
    note = models.TextField(blank=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(
        "core.User",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="Empty: the home itself, on its private page.",
    )

    class Meta:
        ordering = ["home", "recorded_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(width_cm__gt=0, depth_cm__gt=0, height_cm__gt=0),
                name="placements_homeenclosure_has_size",
            ),
            models.CheckConstraint(
                condition=Q(lights_off__gt=F("lights_on")),
                name="placements_homeenclosure_lights_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.label} ({self.home})"


class HomeReading(models.Model):
    """One value that a home measured in its enclosure, typed or out of a file."""

    enclosure = models.ForeignKey(
        HomeEnclosure, on_delete=models.CASCADE, related_name="readings"
    )
    zone = models.CharField(max_length=12, choices=choices(Zone))
    quantity = models.CharField(max_length=20, choices=choices(Quantity))
    at = models.DateTimeField()
    value_milli = models.IntegerField(help_text="In thousandths of the unit.")
    file_name = models.CharField(
        max_length=120, blank=True, help_text="Empty: it was typed."
    )
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["enclosure", "zone", "quantity", "at"]
        constraints = [
            models.UniqueConstraint(
                fields=["enclosure", "zone", "quantity", "at"],
                name="placements_homereading_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.enclosure}: {self.zone} {self.quantity} {self.at:%Y-%m-%d %H:%M}"


class ReadinessReview(models.Model):
    """How a home's enclosure compared with what an animal needs, frozen on a day."""

    enclosure = models.ForeignKey(
        HomeEnclosure, on_delete=models.PROTECT, related_name="reviews"
    )
    animal = models.ForeignKey(
        "husbandry.Animal",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    species = models.ForeignKey(
        "husbandry.Species", on_delete=models.PROTECT, related_name="+"
    )
    sex = models.CharField(max_length=10, choices=choices(Sex))
    on = models.DateField(help_text="Day whose targets hold.")
    outcome = models.CharField(max_length=14, choices=choices(Readiness))
    result = models.JSONField(
        encoder=DjangoJSONEncoder,
        help_text="Each matter with wanted, found and source.",
    )
    judged_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    judged_at = models.DateTimeField()

    class Meta:
        ordering = ["-judged_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.enclosure} on {self.on}: {self.outcome}"
