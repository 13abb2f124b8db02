"""Homes, what they ask for, what was looked into, and their private addresses."""

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import Q

from core.choices import choices
from core.models import Key
from placements.rules.vocabulary import (
    ApplicationState,
    CheckKind,
    CheckOutcome,
    HomeKind,
    Paper,
    PlacementKind,
    UnitSystem,
)


class Home(models.Model):
    """A household, organisation or authority that animals go to or come from.

    Personal data. Erased, the row stays without them, so that what was counted stays
    counted.
    """

    name = models.CharField(max_length=120)
    kind = models.CharField(
        max_length=14, choices=choices(HomeKind), default=HomeKind.HOUSEHOLD.value
    )
    contact = models.TextField(blank=True)
    email = models.EmailField(blank=True)
    notes = models.TextField(blank=True)
    units = models.CharField(
        max_length=10, choices=choices(UnitSystem), default=UnitSystem.METRIC.value
    )
    paper = models.CharField(
        max_length=8, choices=choices(Paper), default=Paper.A4.value
    )
    language = models.CharField(
        max_length=10, default="en", help_text="Of its papers, as BCP 47 says it."
    )
    keep_until = models.DateField(
        null=True,
        blank=True,
        help_text="Personal data are erased after this day; empty: as the policy says.",
    )
    erased_at = models.DateTimeField(null=True, blank=True)
    erased_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    created_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(erased_at__isnull=True) | Q(contact="", email="", notes=""),
                name="placements_home_erased_is_empty",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Application(models.Model):
    """A home's request for an animal: for a certain one, or for one of a species."""

    home = models.ForeignKey(
        Home, on_delete=models.PROTECT, related_name="applications"
    )
    species = models.ForeignKey(
        "husbandry.Species",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    animal = models.ForeignKey(
        "husbandry.Animal",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="A certain animal, if it was asked for.",
    )
    kind = models.CharField(max_length=12, choices=choices(PlacementKind))
    state = models.CharField(
        max_length=12,
        choices=choices(ApplicationState),
        default=ApplicationState.RECEIVED.value,
    )
    received_at = models.DateTimeField()
    recorded_by = models.ForeignKey(
        "core.User",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="Empty: it came by the public form.",
    )
    question_set = models.PositiveSmallIntegerField(
        help_text="Version of the questions that were answered."
    )
    answers = models.JSONField(
        default=dict,
        encoder=DjangoJSONEncoder,
        help_text="By question; personal data.",
    )
    decided_at = models.DateTimeField(null=True, blank=True)
    decided_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    told = models.TextField(
        blank=True, help_text="What the home is told on its private page."
    )
    waiting_since = models.DateField(
        null=True, blank=True, help_text="On the waiting list since this day."
    )

    class Meta:
        ordering = ["received_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(state="waiting", waiting_since__isnull=False)
                | ~Q(state="waiting"),
                name="placements_application_waiting_since_a_day",
            ),
            models.CheckConstraint(
                condition=Q(species__isnull=False) | Q(animal__isnull=False),
                name="placements_application_for_something",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.home} for {self.animal or self.species}"


class ApplicationCheck(models.Model):
    """One thing that was looked into for an application; the newest row holds."""

    application = models.ForeignKey(
        Application, on_delete=models.PROTECT, related_name="checks"
    )
    kind = models.CharField(max_length=16, choices=choices(CheckKind))
    outcome = models.CharField(max_length=12, choices=choices(CheckOutcome))
    note = models.TextField(blank=True)
    recorded_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["application", "recorded_at", "pk"]

    def __str__(self) -> str:
        return f"{self.application}: {self.kind} {self.outcome}"


class PrivateAddress(Key):
    """A home's secret address of a page about its application or placement.

    Only its digest is kept, so the address is shown once; it can be withdrawn.
    """

    application = models.ForeignKey(
        Application,
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="private_addresses",
    )
    placement = models.ForeignKey(
        "placements.Placement",
        on_delete=models.CASCADE,
        null=True,
        blank=True,
        related_name="private_addresses",
    )
    created_at = models.DateTimeField()
    created_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    expires_at = models.DateTimeField()

    class Meta:
        ordering = ["-created_at", "pk"]
        verbose_name_plural = "private addresses"
        constraints = [
            models.CheckConstraint(
                condition=Q(application__isnull=False, placement__isnull=True)
                | Q(application__isnull=True, placement__isnull=False),
                name="placements_privateaddress_of_one",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.prefix}…"


class PersonalDataPolicy(models.Model):
    """How long homes' personal data are kept; the newest row holds."""

    months_after_decline = models.PositiveSmallIntegerField(
        help_text="After an application was declined or withdrawn."
    )
    months_after_last_placement = models.PositiveSmallIntegerField(
        help_text="After the last animal went there; local law may ask for more."
    )
    reason = models.TextField()
    made_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["-made_at", "-pk"]
        verbose_name_plural = "personal data policies"

    def __str__(self) -> str:
        return f"from {self.made_at:%Y-%m-%d}"
