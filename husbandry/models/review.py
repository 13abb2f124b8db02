"""The nightly review: its runs, what each night saw, and findings as spells of nights."""

from django.db import models
from django.db.models import Q

from core.choices import choices
from husbandry.rules.vocabulary import FindingKind, ReviewState, Urgency


class ReviewRun(models.Model):
    """One review of one site's local day. The newest finished run of a day holds."""

    site = models.ForeignKey("core.Site", on_delete=models.PROTECT, related_name="+")
    on = models.DateField(help_text="The local day that was reviewed.")
    state = models.CharField(max_length=10, choices=choices(ReviewState))
    started_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True, blank=True)
    started_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    duration_ms = models.PositiveIntegerField(null=True, blank=True)
    animals = models.PositiveIntegerField(default=0)
    probes = models.PositiveIntegerField(default=0)
    readings = models.PositiveIntegerField(default=0)
    coverage = models.FloatField(
        null=True, blank=True, help_text="Seconds covered by seconds expected, 0 to 1."
    )
    findings = models.PositiveIntegerField(default=0)
    failures = models.JSONField(
        default=list, help_text="Animals that could not be reviewed."
    )
    stale_since = models.DateTimeField(
        null=True,
        blank=True,
        help_text="Set when readings or weighings for this day came later.",
    )

    class Meta:
        ordering = ["-on", "site", "-started_at"]
        constraints = [
            # Two reviews of one night at once would write over each other.
            models.UniqueConstraint(
                fields=["site", "on"],
                condition=Q(state="running"),
                name="husbandry_reviewrun_one_running",
            ),
        ]
        indexes = [
            models.Index(fields=["site", "on"], name="husbandry_reviewrun_night"),
        ]

    def __str__(self) -> str:
        return f"{self.site} {self.on} {self.state}"


class Sighting(models.Model):
    """What one night's review says of one possible finding: the pure result.

    `seen` false means it could not be decided that night (no data): an open
    finding then stays open, because silence is not health.
    """

    site = models.ForeignKey("core.Site", on_delete=models.PROTECT, related_name="+")
    on = models.DateField()
    key = models.CharField(max_length=120, help_text="Kind, subject and detail.")
    kind = models.CharField(max_length=24, choices=choices(FindingKind))
    seen = models.BooleanField()
    urgency = models.CharField(max_length=8, choices=choices(Urgency))
    animal = models.ForeignKey(
        "husbandry.Animal", on_delete=models.PROTECT, null=True, related_name="+"
    )
    enclosure = models.ForeignKey(
        "husbandry.Enclosure", on_delete=models.PROTECT, null=True, related_name="+"
    )
    probe = models.ForeignKey(
        "husbandry.Probe", on_delete=models.PROTECT, null=True, related_name="+"
    )
    evidence = models.JSONField(default=dict)

    class Meta:
        ordering = ["site", "on", "key"]
        constraints = [
            models.UniqueConstraint(
                fields=["site", "key", "on"], name="husbandry_sighting_once_a_night"
            ),
        ]
        indexes = [
            # Read by: writing one night again.
            models.Index(fields=["site", "on"], name="husbandry_sighting_night"),
        ]

    def __str__(self) -> str:
        return f"{self.on} {self.key}"


class Finding(models.Model):
    """One thing that is wrong, over the nights it lasts: sightings folded into a spell."""

    site = models.ForeignKey("core.Site", on_delete=models.PROTECT, related_name="+")
    key = models.CharField(max_length=120)
    kind = models.CharField(max_length=24, choices=choices(FindingKind))
    animal = models.ForeignKey(
        "husbandry.Animal", on_delete=models.PROTECT, null=True, related_name="findings"
    )
    enclosure = models.ForeignKey(
        "husbandry.Enclosure", on_delete=models.PROTECT, null=True, related_name="+"
    )
    probe = models.ForeignKey(
        "husbandry.Probe", on_delete=models.PROTECT, null=True, related_name="+"
    )
    opened_on = models.DateField(help_text="First night it was seen.")
    last_seen_on = models.DateField(help_text="Last night it was seen.")
    closed_on = models.DateField(
        null=True, blank=True, help_text="First night it was no longer so."
    )
    withdrawn_on = models.DateField(
        null=True,
        blank=True,
        help_text="Night whose review, run again, no longer sees it at all.",
    )
    nights_seen = models.PositiveIntegerField()
    urgency = models.CharField(max_length=8, choices=choices(Urgency))
    evidence = models.JSONField(default=dict, help_text="Of the last night seen.")

    class Meta:
        ordering = ["-last_seen_on", "key"]
        constraints = [
            models.UniqueConstraint(
                fields=["site", "key"],
                condition=Q(closed_on__isnull=True, withdrawn_on__isnull=True),
                name="husbandry_finding_one_open",
            ),
        ]
        indexes = [
            models.Index(fields=["site", "closed_on"], name="husbandry_finding_open"),
        ]

    def __str__(self) -> str:
        return f"{self.key} from {self.opened_on}"


class Acknowledgement(models.Model):
    """A person has seen a finding; its own row, so that no review can erase it."""

    finding = models.ForeignKey(
        Finding, on_delete=models.PROTECT, related_name="acknowledgements"
    )
    by = models.ForeignKey("core.User", on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    note = models.CharField(max_length=300, blank=True)
    quiet_until = models.DateField(
        null=True, blank=True, help_text="Shown below the others until this day."
    )

    class Meta:
        ordering = ["finding", "-at"]

    def __str__(self) -> str:
        return f"{self.finding} by {self.by}"
