"""What is done for enclosures and rooms, and the lamps over them."""

from django.db import models
from django.db.models import Q

from core.choices import choices
from husbandry.models.records import CareRecord
from husbandry.rules.vocabulary import ChoreKind, LampKind


class Chore(CareRecord):
    """Cleaning or misting of one enclosure, or gut-loading the insects of one room."""

    kind = models.CharField(max_length=12, choices=choices(ChoreKind))
    enclosure = models.ForeignKey(
        "husbandry.Enclosure",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="chores",
    )
    room = models.ForeignKey(
        "core.Room", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    feeder = models.CharField(
        max_length=60,
        blank=True,
        help_text="Gut-loading only: id of a feeder row of a care profile.",
    )

    class Meta(CareRecord.Meta):
        ordering = ["-at"]
        constraints = [
            *CareRecord.Meta.constraints,
            models.CheckConstraint(
                condition=Q(kind="gut_loading", room__isnull=False)
                & Q(enclosure__isnull=True)
                & ~Q(feeder="")
                | ~Q(kind="gut_loading")
                & Q(enclosure__isnull=False, room__isnull=True)
                & Q(feeder=""),
                name="husbandry_chore_where",
            ),
            models.UniqueConstraint(
                fields=["enclosure", "kind", "at"],
                condition=Q(struck_at__isnull=True, enclosure__isnull=False),
                name="husbandry_chore_once_an_instant",
            ),
            models.UniqueConstraint(
                fields=["room", "feeder", "at"],
                condition=Q(struck_at__isnull=True, room__isnull=False),
                name="husbandry_chore_once_a_room",
            ),
        ]
        indexes = [
            # Read by: the API's lists of all rooms, by when it was and was recorded.
            models.Index(fields=["at"], name="husbandry_chore_at"),
            models.Index(fields=["recorded_at"], name="husbandry_chore_recorded"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.enclosure or self.room}"


class Lamp(models.Model):
    """One lamp over one enclosure; replaced, it is a new lamp."""

    enclosure = models.ForeignKey(
        "husbandry.Enclosure", on_delete=models.PROTECT, related_name="lamps"
    )
    kind = models.CharField(max_length=10, choices=choices(LampKind))
    label = models.CharField(
        max_length=80, blank=True, help_text="What is written on it, in plain words."
    )
    fitted_on = models.DateField()
    removed_on = models.DateField(
        null=True, blank=True, help_text="Last day it burnt here."
    )

    class Meta:
        ordering = ["enclosure", "kind", "fitted_on"]
        constraints = [
            models.CheckConstraint(
                condition=Q(removed_on__isnull=True)
                | Q(removed_on__gte=models.F("fitted_on")),
                name="husbandry_lamp_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} of {self.enclosure} from {self.fitted_on}"


class LampCheck(CareRecord):
    """A reading of a UV-index meter under one lamp, at the animal's perch."""

    lamp = models.ForeignKey(Lamp, on_delete=models.PROTECT, related_name="checks")
    uv_index = models.DecimalField(max_digits=5, decimal_places=2)
    distance_cm = models.DecimalField(
        max_digits=6,
        decimal_places=1,
        null=True,
        blank=True,
        help_text="Centimetres from the lamp to the meter.",
    )

    class Meta(CareRecord.Meta):
        ordering = ["lamp", "at"]
        constraints = [
            *CareRecord.Meta.constraints,
            models.CheckConstraint(
                condition=Q(uv_index__gte=0), name="husbandry_lampcheck_not_negative"
            ),
            models.UniqueConstraint(
                fields=["lamp", "at"],
                condition=Q(struck_at__isnull=True),
                name="husbandry_lampcheck_once_an_instant",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.lamp}: UV index {self.uv_index}"
