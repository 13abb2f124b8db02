"""Pairs, how they were put together, and who may be a sire."""

from django.db import models
from django.db.models import F, Q

from clutches.rules.vocabulary import IntroductionOutcome, SireBasis
from core.choices import choices
from husbandry.models.records import CareRecord


class Pairing(models.Model):
    """A female and a male that are meant to breed."""

    dam = models.ForeignKey(
        "husbandry.Animal", on_delete=models.PROTECT, related_name="+"
    )
    sire = models.ForeignKey(
        "husbandry.Animal", on_delete=models.PROTECT, related_name="+"
    )
    planned_on = models.DateField(help_text="Day on which it was decided.")
    reason = models.CharField(
        max_length=300, blank=True, help_text="Why this pair, also against advice."
    )
    ended_on = models.DateField(
        null=True, blank=True, help_text="Day from which it is not put together again."
    )
    created_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    created_at = models.DateTimeField()

    class Meta:
        ordering = ["-planned_on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(dam=F("sire")), name="clutches_pairing_of_two"
            ),
            models.CheckConstraint(
                condition=Q(ended_on__isnull=True) | Q(ended_on__gte=F("planned_on")),
                name="clutches_pairing_in_order",
            ),
            models.UniqueConstraint(
                fields=["dam", "sire"],
                condition=Q(ended_on__isnull=True),
                name="clutches_pairing_one_open",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.dam} × {self.sire}"


class Introduction(CareRecord):
    """A pair was put together once; `at` is when."""

    pairing = models.ForeignKey(
        Pairing, on_delete=models.PROTECT, related_name="introductions"
    )
    minutes = models.PositiveIntegerField(
        null=True, blank=True, help_text="How long they were together, minutes."
    )
    outcome = models.CharField(max_length=12, choices=choices(IntroductionOutcome))

    class Meta(CareRecord.Meta):
        ordering = ["-at", "-pk"]
        indexes = [
            # Read by: whom a female met before she laid.
            models.Index(fields=["pairing", "at"], name="clutches_introduction_when"),
        ]

    def __str__(self) -> str:
        return f"{self.pairing}: {self.outcome} {self.at:%Y-%m-%d}"


class CandidateSire(models.Model):
    """A male that may be the sire of a clutch, or of one animal, and how likely.

    Those of one clutch or animal add up to 1 at most; what is missing is an unknown
    male. Without any row an animal's sire is the one on its own record, or unknown.
    """

    clutch = models.ForeignKey(
        "clutches.Clutch",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="candidate_sires",
    )
    animal = models.ForeignKey(
        "husbandry.Animal",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    sire = models.ForeignKey(
        "husbandry.Animal", on_delete=models.PROTECT, related_name="+"
    )
    probability = models.DecimalField(
        max_digits=6, decimal_places=5, help_text="More than 0, at most 1."
    )
    basis = models.CharField(max_length=14, choices=choices(SireBasis))

    class Meta:
        ordering = ["clutch", "animal", "-probability", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(clutch__isnull=False, animal__isnull=True)
                | Q(clutch__isnull=True, animal__isnull=False),
                name="clutches_candidatesire_of_one",
            ),
            models.CheckConstraint(
                condition=Q(probability__gt=0, probability__lte=1),
                name="clutches_candidatesire_probability",
            ),
            models.UniqueConstraint(
                fields=["clutch", "sire"],
                condition=Q(clutch__isnull=False),
                name="clutches_candidatesire_once_a_clutch",
            ),
            models.UniqueConstraint(
                fields=["animal", "sire"],
                condition=Q(animal__isnull=False),
                name="clutches_candidatesire_once_an_animal",
            ),
            models.CheckConstraint(
                condition=Q(animal__isnull=True) | ~Q(animal=F("sire")),
                name="clutches_candidatesire_not_itself",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.sire} ({self.probability:.2f}) of {self.clutch or self.animal}"
