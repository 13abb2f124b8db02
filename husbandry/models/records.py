"""What people record of care: kept for good; a wrong entry is struck out, not erased."""

from django.db import models
from django.db.models import Q


class CareRecord(models.Model):
    """What somebody did or saw at one instant.

    As in a paper book, a wrong entry is struck out and stays legible; the right one
    is a new row that names it.
    """

    at = models.DateTimeField(help_text="When it was done or seen.")
    note = models.CharField(max_length=300, blank=True)
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
        help_text="The struck-out entry that this one replaces.",
    )
    struck_at = models.DateTimeField(null=True, blank=True)
    struck_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    struck_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        abstract = True
        constraints = [
            models.CheckConstraint(
                condition=Q(struck_at__isnull=True, struck_by__isnull=True)
                & Q(struck_reason="")
                | Q(struck_at__isnull=False) & ~Q(struck_reason=""),
                name="%(app_label)s_%(class)s_struck_with_reason",
            ),
        ]
