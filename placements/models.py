"""Homes, placements, and the frozen packets that go with them."""

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import Q

from core.choices import choices
from placements.rules.vocabulary import PlacementKind, PlacementState


class Home(models.Model):
    """A household or organisation that an animal goes to. Personal data."""

    name = models.CharField(max_length=120)
    contact = models.TextField(blank=True)
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Placement(models.Model):
    """One animal on its way to one home."""

    animal = models.ForeignKey(
        "husbandry.Animal", on_delete=models.PROTECT, related_name="+"
    )
    home = models.ForeignKey(Home, on_delete=models.PROTECT, related_name="placements")
    kind = models.CharField(max_length=12, choices=choices(PlacementKind))
    state = models.CharField(
        max_length=12,
        choices=choices(PlacementState),
        default=PlacementState.PLANNED.value,
    )
    planned_on = models.DateField(help_text="Day the animal is meant to leave.")
    handed_over_on = models.DateField(null=True, blank=True)
    created_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    created_at = models.DateTimeField()

    class Meta:
        ordering = ["-planned_on", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["animal"],
                condition=Q(state="planned"),
                name="placements_placement_one_planned",
            ),
            models.CheckConstraint(
                condition=Q(state="handed_over", handed_over_on__isnull=False)
                | (~Q(state="handed_over") & Q(handed_over_on__isnull=True)),
                name="placements_placement_handed_over_with_date",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.animal} to {self.home}"


class Packet(models.Model):
    """What goes home with the animal: care plan and history, frozen, numbered, hashed."""

    placement = models.ForeignKey(
        Placement, on_delete=models.PROTECT, related_name="packets"
    )
    number = models.CharField(max_length=20, unique=True, help_text="As printed on it.")
    version = models.PositiveSmallIntegerField(
        help_text="1 is the first; a correction is the next."
    )
    snapshot = models.JSONField(encoder=DjangoJSONEncoder)
    sha256 = models.CharField(
        max_length=64, help_text="Of the snapshot's canonical JSON."
    )
    made_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["-made_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["placement", "version"], name="placements_packet_version_once"
            ),
        ]

    def __str__(self) -> str:
        return self.number
