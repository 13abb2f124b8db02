"""Which findings a site wants, how urgent, and from which limits on."""

from django.db import models

from core.choices import choices
from husbandry.rules.vocabulary import FindingKind, Urgency


class ReviewPolicy(models.Model):
    """What a site decided about one kind of finding, from a night on.

    Never altered: a change is a new row. Of the rows of one kind the one with the
    latest `from_on` holds for a night, of several from one day the last that was
    made; so a night reviewed again is judged as it was.
    """

    site = models.ForeignKey("core.Site", on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=24, choices=choices(FindingKind))
    from_on = models.DateField(help_text="First local day that is judged by it.")
    switched_on = models.BooleanField(default=True)
    urgency = models.CharField(
        max_length=8,
        choices=choices(Urgency),
        blank=True,
        help_text="Empty: as the review finds it.",
    )
    limits = models.JSONField(
        default=dict, blank=True, help_text="Limits by name, instead of the profile's."
    )
    reason = models.TextField()
    made_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["site", "kind", "-from_on", "-made_at"]
        verbose_name_plural = "review policies"
        indexes = [
            # Read by: what a site decided, for the review of a night.
            models.Index(
                fields=["site", "kind", "from_on"], name="husbandry_reviewpolicy_held"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.site}: {self.kind} from {self.from_on}"
