"""Placements, the gates they passed, and the frozen packets that go with them."""

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import Q

from core.choices import choices
from placements.models.homes import Application, Home
from placements.rules.vocabulary import (
    Gate,
    JobState,
    PlacementKind,
    PlacementState,
)


class Placement(models.Model):
    """One animal on its way to one home."""

    animal = models.ForeignKey(
        "husbandry.Animal", on_delete=models.PROTECT, related_name="+"
    )
    home = models.ForeignKey(
        Home,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="placements",
        help_text="Empty for a release to the wild.",
    )
    application = models.ForeignKey(
        Application,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="placements",
    )
    home_enclosure = models.ForeignKey(
        "placements.HomeEnclosure",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="Where it is to live.",
    )
    follows = models.OneToOneField(
        "self",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="followed_by",
        help_text="The foster stay or loan that this one makes lasting.",
    )
    kind = models.CharField(max_length=12, choices=choices(PlacementKind))
    state = models.CharField(
        max_length=12,
        choices=choices(PlacementState),
        default=PlacementState.PLANNED.value,
    )
    planned_on = models.DateField(help_text="Day the animal is meant to leave.")
    handed_over_on = models.DateField(null=True, blank=True)
    due_back_on = models.DateField(
        null=True, blank=True, help_text="Of a loan or foster stay."
    )
    release_place = models.CharField(
        max_length=200, blank=True, help_text="Of a release to the wild."
    )
    ended_on = models.DateField(
        null=True, blank=True, help_text="Day it came back, was made lasting, or died."
    )
    ended_reason = models.CharField(max_length=300, blank=True)
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
                condition=Q(
                    state__in=("planned", "called_off"), handed_over_on__isnull=True
                )
                | ~Q(state__in=("planned", "called_off"))
                & Q(handed_over_on__isnull=False),
                name="placements_placement_handed_over_with_date",
            ),
            models.CheckConstraint(
                condition=Q(
                    state__in=("came_back", "made_lasting", "died_there"),
                    ended_on__isnull=False,
                )
                | ~Q(state__in=("came_back", "made_lasting", "died_there"))
                & Q(ended_on__isnull=True),
                name="placements_placement_ended_with_date",
            ),
            models.CheckConstraint(
                condition=Q(kind="release", home__isnull=True) & ~Q(release_place="")
                | ~Q(kind="release") & Q(home__isnull=False, release_place=""),
                name="placements_placement_to_a_home_or_released",
            ),
        ]

    def __str__(self) -> str:
        # Of whom it goes to, not everybody may read who reads placements.
        return f"{self.animal}, {self.kind} of {self.planned_on}"


class GateOpening(models.Model):
    """That somebody opened a shut gate of a placement, and why."""

    placement = models.ForeignKey(
        Placement, on_delete=models.PROTECT, related_name="gate_openings"
    )
    gate = models.CharField(max_length=24, choices=choices(Gate))
    why_shut = models.TextField(help_text="What the gate said when it was opened.")
    reason = models.TextField()
    opened_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    opened_at = models.DateTimeField()
    shut_again_at = models.DateTimeField(null=True, blank=True)
    shut_again_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["placement", "opened_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["placement", "gate"],
                condition=Q(shut_again_at__isnull=True),
                name="placements_gateopening_one_in_force",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.placement}: {self.gate}"


class TreatmentHandover(models.Model):
    """A vet's word on how a treatment that is not over goes on in the new home."""

    placement = models.ForeignKey(
        Placement, on_delete=models.PROTECT, related_name="treatment_handovers"
    )
    prescription = models.ForeignKey(
        "husbandry.Prescription", on_delete=models.PROTECT, related_name="+"
    )
    plan = models.TextField(help_text="In the licensed vet's words.")
    handed_over_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    handed_over_at = models.DateTimeField()

    class Meta:
        ordering = ["placement", "handed_over_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["placement", "prescription"],
                name="placements_treatmenthandover_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.placement}: {self.prescription}"


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


class PacketJob(models.Model):
    """That a packet is to be made and drawn by a worker: a row with a state."""

    placement = models.ForeignKey(
        Placement, on_delete=models.PROTECT, related_name="packet_jobs"
    )
    batch = models.CharField(
        max_length=32, db_index=True, help_text="Those asked for together."
    )
    state = models.CharField(
        max_length=8, choices=choices(JobState), default=JobState.WAITING.value
    )
    asked_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    asked_at = models.DateTimeField()
    started_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    packet = models.ForeignKey(
        Packet, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    file = models.FileField(upload_to="packets", blank=True)
    problem = models.TextField(blank=True, help_text="Why it failed.")

    class Meta:
        ordering = ["asked_at", "pk"]
        indexes = [
            # Read by: the worker, for what waits.
            models.Index(
                fields=["state", "asked_at"], name="placements_packetjob_wait"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.placement}: {self.state}"
