"""What people saw of animals, and how long these are."""

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q

from core.choices import choices
from husbandry.models.records import CareRecord
from husbandry.rules.vocabulary import ObservationKind, Observed, Urates


class Observation(CareRecord):
    """One thing seen of one animal: never a diagnosis."""

    animal = models.ForeignKey(
        "husbandry.Animal", on_delete=models.PROTECT, related_name="observations"
    )
    kind = models.CharField(max_length=12, choices=choices(ObservationKind))
    sign = models.CharField(
        max_length=60,
        blank=True,
        help_text="Id of a warning sign of the species' care profile; signs only.",
    )
    observed = models.CharField(
        max_length=12, choices=choices(Observed), blank=True, help_text="How it was."
    )
    urates = models.CharField(
        max_length=10, choices=choices(Urates), blank=True, help_text="Droppings only."
    )
    eggs = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="How many eggs so far; laying only."
    )
    look_again_on = models.DateField(
        null=True, blank=True, help_text="Day on which somebody must look again."
    )

    class Meta(CareRecord.Meta):
        ordering = ["animal", "at"]
        constraints = [
            *CareRecord.Meta.constraints,
            models.CheckConstraint(
                condition=Q(kind="sign") & ~Q(sign="") | ~Q(kind="sign") & Q(sign=""),
                name="husbandry_observation_sign_named",
            ),
            models.CheckConstraint(
                condition=Q(eggs__isnull=True) | Q(kind="laying"),
                name="husbandry_observation_eggs_when_laying",
            ),
            models.UniqueConstraint(
                fields=["animal", "at", "kind", "sign"],
                condition=Q(struck_at__isnull=True),
                name="husbandry_observation_once_an_instant",
            ),
        ]
        indexes = [
            # Read by: an animal's observations in order; a night's of a site.
            models.Index(fields=["animal", "at"], name="husbandry_observation_history"),
            # Read by: the API's lists of all animals, by when it was and was recorded.
            models.Index(fields=["at"], name="husbandry_observation_at"),
            models.Index(fields=["recorded_at"], name="husbandry_observation_recorded"),
        ]

    def __str__(self) -> str:
        return f"{self.animal}: {self.sign or self.kind} {self.observed}".strip()


class Measuring(CareRecord):
    """How long an animal was: from snout to vent, and with its tail."""

    animal = models.ForeignKey(
        "husbandry.Animal", on_delete=models.PROTECT, related_name="measurings"
    )
    snout_vent_cm = models.DecimalField(
        max_digits=6,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
        help_text="Centimetres from the snout to the vent.",
    )
    total_cm = models.DecimalField(
        max_digits=6,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
        help_text="Centimetres from the snout to the tip of the tail.",
    )

    class Meta(CareRecord.Meta):
        ordering = ["animal", "at"]
        constraints = [
            *CareRecord.Meta.constraints,
            models.CheckConstraint(
                condition=Q(snout_vent_cm__isnull=False, snout_vent_cm__gt=0)
                | Q(total_cm__isnull=False, total_cm__gt=0),
                name="husbandry_measuring_says_something",
            ),
            models.UniqueConstraint(
                fields=["animal", "at"],
                condition=Q(struck_at__isnull=True),
                name="husbandry_measuring_once_an_instant",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.animal}: {self.snout_vent_cm or self.total_cm} cm"
