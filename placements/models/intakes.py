"""How animals came into care: deliveries, who came with them, and how they were."""

from django.db import models
from django.db.models import Q

from core.choices import choices
from placements.models.homes import Home
from placements.rules.vocabulary import (
    BodySystem,
    ChipScan,
    ExamOutcome,
    IntakeCondition,
    IntakeSource,
)


class Arrival(models.Model):
    """One delivery: one or more animals that came together, from whom, how, when."""

    site = models.ForeignKey("core.Site", on_delete=models.PROTECT, related_name="+")
    source = models.CharField(max_length=12, choices=choices(IntakeSource))
    home = models.ForeignKey(
        Home,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="arrivals",
        help_text="From whom; empty: nobody is known, as of a stray.",
    )
    found_at = models.CharField(
        max_length=200, blank=True, help_text="Where a stray was found."
    )
    arrived_at = models.DateTimeField()
    hold_until = models.DateField(
        null=True,
        blank=True,
        help_text="Last day on which it may not leave; local law decides.",
    )
    hold_reason = models.CharField(max_length=200, blank=True)
    came_with = models.TextField(blank=True, help_text="What came with the animals.")
    note = models.TextField(blank=True)
    recorded_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["-arrived_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(hold_until__isnull=True) | ~Q(hold_reason=""),
                name="placements_arrival_hold_with_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.source} of {self.arrived_at:%Y-%m-%d}"


class Intake(models.Model):
    """One animal of a delivery, as it was when it came."""

    arrival = models.ForeignKey(
        Arrival, on_delete=models.PROTECT, related_name="intakes"
    )
    animal = models.ForeignKey(
        "husbandry.Animal", on_delete=models.PROTECT, related_name="+"
    )
    returns = models.OneToOneField(
        "placements.Placement",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="returned_by",
        help_text="The placement that it came back from.",
    )
    species_told = models.CharField(
        max_length=120, blank=True, help_text="What it was said to be."
    )
    species_sure = models.BooleanField(
        default=True, help_text="Somebody who knows the species has looked."
    )
    condition = models.CharField(
        max_length=16,
        choices=choices(IntakeCondition),
        default=IntakeCondition.NOT_JUDGED.value,
    )
    chip_scan = models.CharField(
        max_length=12, choices=choices(ChipScan), default=ChipScan.NOT_SCANNED.value
    )
    came_with = models.TextField(blank=True)
    note = models.TextField(blank=True)
    hold_ended_on = models.DateField(
        null=True, blank=True, help_text="The hold was lifted before its day."
    )
    hold_ended_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    hold_ended_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-arrival__arrived_at", "animal"]
        constraints = [
            models.UniqueConstraint(
                fields=["arrival", "animal"], name="placements_intake_once"
            ),
            models.CheckConstraint(
                condition=Q(hold_ended_on__isnull=True) | ~Q(hold_ended_reason=""),
                name="placements_intake_hold_ended_with_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.animal} ({self.arrival})"


class Exam(models.Model):
    """One look over a whole animal, part by part. Never a diagnosis."""

    animal = models.ForeignKey(
        "husbandry.Animal", on_delete=models.PROTECT, related_name="+"
    )
    intake = models.ForeignKey(
        Intake,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="exams",
    )
    at = models.DateTimeField()
    examined_by = models.CharField(max_length=160, help_text="Who looked.")
    note = models.TextField(blank=True)
    recorded_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["animal", "-at"]

    def __str__(self) -> str:
        return f"{self.animal} looked over at {self.at:%Y-%m-%d %H:%M}"


class ExamLine(models.Model):
    """What was seen at one part of an exam."""

    exam = models.ForeignKey(Exam, on_delete=models.PROTECT, related_name="lines")
    system = models.CharField(max_length=16, choices=choices(BodySystem))
    outcome = models.CharField(max_length=16, choices=choices(ExamOutcome))
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["exam", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["exam", "system"], name="placements_examline_once"
            ),
            models.CheckConstraint(
                condition=~Q(outcome="unusual") | ~Q(note=""),
                name="placements_examline_unusual_in_words",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.exam}: {self.system}"


class IntakePhoto(models.Model):
    """A photograph of an animal as it came."""

    intake = models.ForeignKey(Intake, on_delete=models.PROTECT, related_name="photos")
    photo = models.FileField(upload_to="intakes")
    caption = models.CharField(max_length=200, blank=True)
    recorded_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["intake", "pk"]

    def __str__(self) -> str:
        return f"{self.intake}: {self.caption or 'photograph'}"


class HoldPolicy(models.Model):
    """How long animals of a source are held at least; the newest row holds."""

    source = models.CharField(max_length=12, choices=choices(IntakeSource))
    days = models.PositiveSmallIntegerField(help_text="0: no hold.")
    reason = models.TextField(help_text="Which law or decision it follows.")
    made_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["source", "-made_at", "-pk"]
        verbose_name_plural = "hold policies"

    def __str__(self) -> str:
        return f"{self.source}: {self.days} days"
