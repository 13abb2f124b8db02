"""What animals were offered and ate, and what was agreed about their food."""

from django.db import models
from django.db.models import F, Q

from core.choices import choices
from husbandry.models.records import CareRecord
from husbandry.rules.vocabulary import FeedingOrderKind


class Feeding(CareRecord):
    """One kind of food offered to one animal at one instant."""

    animal = models.ForeignKey(
        "husbandry.Animal", on_delete=models.PROTECT, related_name="feedings"
    )
    feeder = models.CharField(
        max_length=60, help_text="Id of a feeder row of the species' care profile."
    )
    offered = models.PositiveSmallIntegerField(help_text="How many were offered.")
    eaten = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="How many were eaten; empty: nobody watched."
    )
    supplements = models.JSONField(
        default=list, help_text="Ids of supplement rows of the species' care profile."
    )
    assisted = models.BooleanField(
        default=False, help_text="Given by hand or syringe, as a vet advised."
    )

    class Meta(CareRecord.Meta):
        ordering = ["animal", "at"]
        constraints = [
            *CareRecord.Meta.constraints,
            models.CheckConstraint(
                condition=Q(offered__gt=0), name="husbandry_feeding_offers_something"
            ),
            models.CheckConstraint(
                condition=Q(eaten__isnull=True) | Q(eaten__lte=F("offered")),
                name="husbandry_feeding_eaten_of_offered",
            ),
            models.UniqueConstraint(
                fields=["animal", "at", "feeder"],
                condition=Q(struck_at__isnull=True),
                name="husbandry_feeding_once_an_instant",
            ),
        ]
        indexes = [
            # Read by: an animal's last feedings; a night's feedings of a site.
            models.Index(fields=["animal", "at"], name="husbandry_feeding_history"),
            # Read by: the API's lists of all animals, by when it was and was recorded.
            models.Index(fields=["at"], name="husbandry_feeding_at"),
            models.Index(fields=["recorded_at"], name="husbandry_feeding_recorded"),
        ]

    def __str__(self) -> str:
        return f"{self.animal}: {self.offered} {self.feeder}"


class FeedingOrder(models.Model):
    """What was agreed about one animal's food: by whom, why, until when.

    Fast: nothing is offered. Assist: fed by hand, so many every so many days.
    Rhythm: another portion or another interval than the profile's.
    """

    animal = models.ForeignKey(
        "husbandry.Animal", on_delete=models.PROTECT, related_name="feeding_orders"
    )
    kind = models.CharField(max_length=10, choices=choices(FeedingOrderKind))
    from_on = models.DateField()
    until_on = models.DateField(help_text="Last day it holds; it always ends.")
    every_days = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="Days from feeding to feeding; not for a fast."
    )
    portion = models.PositiveSmallIntegerField(null=True, blank=True)
    unit = models.CharField(
        max_length=40, blank=True, help_text="Of the portion, such as insects or mL."
    )
    reason = models.TextField()
    made_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, related_name="+"
    )
    made_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["animal", "-made_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(until_on__gte=F("from_on")),
                name="husbandry_feedingorder_in_order",
            ),
            models.CheckConstraint(
                condition=Q(
                    kind="fast", every_days__isnull=True, portion__isnull=True, unit=""
                )
                | Q(every_days__isnull=False, every_days__gt=0)
                & Q(portion__isnull=False, portion__gt=0)
                & ~Q(kind="fast")
                & ~Q(unit=""),
                name="husbandry_feedingorder_says_how_much",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.animal}: {self.kind} from {self.from_on}"
