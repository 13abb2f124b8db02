"""Egg boxes: what they are filled with, where they stand, which egg lies where."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from clutches.rules.vocabulary import Substrate
from core.choices import choices
from husbandry.models.records import CareRecord

MOST_LINES = 26


class EggBox(models.Model):
    """A box with a grid of places: rows are numbered, columns lettered from A."""

    code = models.CharField(max_length=20, unique=True, help_text="As on its label.")
    rows = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(MOST_LINES)],
        help_text="1 to 26.",
    )
    columns = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(MOST_LINES)],
        help_text="1 to 26.",
    )
    substrate = models.CharField(max_length=14, choices=choices(Substrate))
    substrate_g = models.DecimalField(
        max_digits=7,
        decimal_places=1,
        null=True,
        blank=True,
        help_text="Dry mass of the substrate, grams.",
    )
    water_g = models.DecimalField(
        max_digits=7,
        decimal_places=1,
        null=True,
        blank=True,
        help_text="Water it was made up with, grams.",
    )
    made_on = models.DateField(help_text="Local day on which it was made up.")
    retired_on = models.DateField(null=True, blank=True, help_text="Emptied for good.")
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["code"]
        verbose_name_plural = "egg boxes"
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    rows__range=(1, MOST_LINES), columns__range=(1, MOST_LINES)
                ),
                name="clutches_eggbox_grid",
            ),
            models.CheckConstraint(
                condition=Q(retired_on__isnull=True) | Q(retired_on__gte=F("made_on")),
                name="clutches_eggbox_in_order",
            ),
        ]

    def __str__(self) -> str:
        return self.code


class BoxStay(models.Model):
    """One box in one incubator, from an instant until another."""

    box = models.ForeignKey(EggBox, on_delete=models.PROTECT, related_name="stays")
    incubator = models.ForeignKey(
        "husbandry.Enclosure", on_delete=models.PROTECT, related_name="+"
    )
    from_at = models.DateTimeField()
    until_at = models.DateTimeField(null=True, blank=True)
    moved_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["box", "from_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(until_at__isnull=True) | Q(until_at__gt=F("from_at")),
                name="clutches_boxstay_in_order",
            ),
            models.UniqueConstraint(
                fields=["box"],
                condition=Q(until_at__isnull=True),
                name="clutches_boxstay_one_open",
            ),
        ]
        indexes = [
            # Read by: which boxes stood in an incubator during a night.
            models.Index(
                fields=["incubator", "from_at"], name="clutches_boxstay_where"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.box} in {self.incubator} from {self.from_at:%Y-%m-%d %H:%M}"


class BoxCheck(CareRecord):
    """One box was looked at: weighed, watered, aired."""

    box = models.ForeignKey(EggBox, on_delete=models.PROTECT, related_name="checks")
    mass_g = models.DecimalField(
        max_digits=7,
        decimal_places=1,
        null=True,
        blank=True,
        help_text="Mass of the box with all that is in it, grams, before watering.",
    )
    water_g = models.DecimalField(
        max_digits=7,
        decimal_places=1,
        null=True,
        blank=True,
        help_text="Water that was added, grams.",
    )

    class Meta(CareRecord.Meta):
        ordering = ["-at", "-pk"]
        constraints = [
            *CareRecord.Meta.constraints,
            models.CheckConstraint(
                condition=(Q(mass_g__isnull=True) | Q(mass_g__gt=0))
                & (Q(water_g__isnull=True) | Q(water_g__gt=0)),
                name="clutches_boxcheck_masses_positive",
            ),
        ]
        indexes = [
            # Read by: when a box was last looked at.
            models.Index(fields=["box", "at"], name="clutches_boxcheck_when"),
        ]

    def __str__(self) -> str:
        return f"{self.box} {self.at:%Y-%m-%d}"


class EggPlace(models.Model):
    """One egg at one place of one box, from an instant until another."""

    egg = models.ForeignKey(
        "clutches.Egg", on_delete=models.PROTECT, related_name="places"
    )
    box = models.ForeignKey(EggBox, on_delete=models.PROTECT, related_name="places")
    row = models.PositiveSmallIntegerField(help_text="From 1, from the back.")
    column = models.PositiveSmallIntegerField(help_text="From 1, which is A.")
    from_at = models.DateTimeField()
    until_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["box", "row", "column", "from_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(until_at__isnull=True) | Q(until_at__gt=F("from_at")),
                name="clutches_eggplace_in_order",
            ),
            models.CheckConstraint(
                condition=Q(row__range=(1, MOST_LINES), column__range=(1, MOST_LINES)),
                name="clutches_eggplace_grid",
            ),
            models.UniqueConstraint(
                fields=["egg"],
                condition=Q(until_at__isnull=True),
                name="clutches_eggplace_one_open",
            ),
            models.UniqueConstraint(
                fields=["box", "row", "column"],
                condition=Q(until_at__isnull=True),
                name="clutches_eggplace_not_shared",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.egg} in {self.box} {chr(64 + self.column)}{self.row}"
