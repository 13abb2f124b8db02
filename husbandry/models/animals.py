"""Animals, their reproductive state, where they stay, and what was agreed for them."""

from django.db import models
from django.db.models import F, Q

from core.choices import choices
from husbandry.rules.vocabulary import (
    AnimalStatus,
    Confidence,
    DatePrecision,
    Origin,
    Period,
    Quantity,
    Reproduction,
    Sex,
    SexBasis,
    Zone,
)


class Animal(models.Model):
    code = models.CharField(max_length=20, unique=True, help_text="As on its label.")
    name = models.CharField(max_length=80, blank=True)
    species = models.ForeignKey(
        "husbandry.Species", on_delete=models.PROTECT, related_name="animals"
    )
    sex = models.CharField(
        max_length=10, choices=choices(Sex), default=Sex.UNKNOWN.value
    )
    sex_basis = models.CharField(
        max_length=20, choices=choices(SexBasis), default=SexBasis.NOT_SEXED.value
    )
    sex_confidence = models.CharField(
        max_length=12, choices=choices(Confidence), default=Confidence.UNCERTAIN.value
    )
    hatched_on = models.DateField(
        null=True, blank=True, help_text="Hatched or born; see the precision."
    )
    hatched_precision = models.CharField(
        max_length=10,
        choices=choices(DatePrecision),
        default=DatePrecision.UNKNOWN.value,
    )
    dam = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    sire = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    origin = models.CharField(
        max_length=20, choices=choices(Origin), default=Origin.UNKNOWN.value
    )
    origin_note = models.TextField(blank=True)
    arrived_on = models.DateField(
        help_text="First day in care here; of one that came again, of this time."
    )
    status = models.CharField(
        max_length=10, choices=choices(AnimalStatus), default=AnimalStatus.IN_CARE.value
    )
    left_on = models.DateField(
        null=True,
        blank=True,
        help_text="Day it was placed, released, died or was lost.",
    )
    microchip = models.CharField(
        max_length=15,
        null=True,
        blank=True,
        unique=True,
        help_text="15 digits by ISO 11784, or 10 digits of an older, non-ISO chip.",
    )
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(
                condition=Q(dam__isnull=True) | ~Q(dam=F("id")),
                name="husbandry_animal_not_own_dam",
            ),
            models.CheckConstraint(
                condition=Q(sire__isnull=True) | ~Q(sire=F("id")),
                name="husbandry_animal_not_own_sire",
            ),
            models.CheckConstraint(
                condition=Q(hatched_on__isnull=True, hatched_precision="unknown")
                | (Q(hatched_on__isnull=False) & ~Q(hatched_precision="unknown")),
                name="husbandry_animal_hatch_date_with_precision",
            ),
            models.CheckConstraint(
                condition=Q(status="in_care", left_on__isnull=True)
                | (~Q(status="in_care") & Q(left_on__isnull=False)),
                name="husbandry_animal_left_with_date",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.name}".strip()


class EarlierCare(models.Model):
    """A time in care that was over before the animal came again.

    The present time, or the last, stands in the animal's own row.
    """

    animal = models.ForeignKey(
        Animal, on_delete=models.PROTECT, related_name="earlier_care"
    )
    arrived_on = models.DateField()
    left_on = models.DateField(help_text="Day it left.")
    status = models.CharField(
        max_length=10, choices=choices(AnimalStatus), help_text="As what it left."
    )

    class Meta:
        ordering = ["animal", "arrived_on"]
        verbose_name_plural = "earlier care"
        constraints = [
            models.CheckConstraint(
                condition=Q(left_on__gte=F("arrived_on")),
                name="husbandry_earliercare_in_order",
            ),
            models.UniqueConstraint(
                fields=["animal", "arrived_on"], name="husbandry_earliercare_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.animal}: {self.arrived_on} to {self.left_on}"


class Quarantine(models.Model):
    """From when until when an animal is kept apart, in local days."""

    animal = models.ForeignKey(
        Animal, on_delete=models.PROTECT, related_name="quarantines"
    )
    began_on = models.DateField()
    group = models.CharField(
        max_length=40,
        help_text="Newcomers of this group in the same room restart its clock.",
    )
    reason = models.CharField(max_length=200)
    begun_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    begun_at = models.DateTimeField()
    ended_on = models.DateField(
        null=True, blank=True, help_text="Last day kept apart; empty: still."
    )
    ended_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["animal", "began_on"]
        constraints = [
            models.UniqueConstraint(
                fields=["animal"],
                condition=Q(ended_on__isnull=True),
                name="husbandry_quarantine_one_open",
            ),
            models.CheckConstraint(
                condition=Q(ended_on__isnull=True, ended_at__isnull=True)
                | Q(ended_on__gte=F("began_on"), ended_at__isnull=False),
                name="husbandry_quarantine_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.animal} in quarantine from {self.began_on}"


class ReproductiveSpell(models.Model):
    """From when until when an animal was in a reproductive state other than resting."""

    animal = models.ForeignKey(
        Animal, on_delete=models.PROTECT, related_name="reproductive_spells"
    )
    state = models.CharField(max_length=12, choices=choices(Reproduction))
    from_on = models.DateField()
    until_on = models.DateField(
        null=True, blank=True, help_text="Last day; empty: still."
    )
    basis = models.CharField(
        max_length=200, blank=True, help_text="What it was seen by."
    )

    class Meta:
        ordering = ["animal", "from_on"]
        constraints = [
            models.UniqueConstraint(
                fields=["animal"],
                condition=Q(until_on__isnull=True),
                name="husbandry_reproductivespell_one_open",
            ),
            models.CheckConstraint(
                condition=Q(until_on__isnull=True) | Q(until_on__gte=F("from_on")),
                name="husbandry_reproductivespell_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.animal}: {self.state} from {self.from_on}"


class TargetOverride(models.Model):
    """What was agreed for one animal instead of its profile, by whom, why, until when."""

    animal = models.ForeignKey(
        Animal, on_delete=models.PROTECT, related_name="target_overrides"
    )
    quantity = models.CharField(max_length=20, choices=choices(Quantity))
    zone = models.CharField(max_length=12, choices=choices(Zone))
    period = models.CharField(max_length=8, choices=choices(Period))
    low = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)
    high = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)
    hard_low = models.DecimalField(
        max_digits=8, decimal_places=3, null=True, blank=True
    )
    hard_high = models.DecimalField(
        max_digits=8, decimal_places=3, null=True, blank=True
    )
    tolerated_minutes = models.PositiveIntegerField(default=60)
    from_on = models.DateField()
    until_on = models.DateField(help_text="Last day it holds; it always ends.")
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
                name="husbandry_targetoverride_in_order",
            ),
            models.CheckConstraint(
                condition=Q(low__isnull=False) | Q(high__isnull=False),
                name="husbandry_targetoverride_says_something",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.animal}: {self.quantity} {self.zone} {self.period}"


class Stay(models.Model):
    """One animal in one enclosure, from an instant until another.

    The database holds two promises beside the constraints below (see the
    migration `stay_overlaps`): an animal is in one enclosure at a time, and an
    enclosure is not shared unless every stay in it has its own place.
    """

    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="stays")
    enclosure = models.ForeignKey(
        "husbandry.Enclosure", on_delete=models.PROTECT, related_name="stays"
    )
    place = models.PositiveSmallIntegerField(
        null=True,
        blank=True,
        help_text="Empty: the whole enclosure. A number: its place in a group that "
        "the care profile allows.",
    )
    from_at = models.DateTimeField()
    until_at = models.DateTimeField(null=True, blank=True)
    moved_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["animal", "from_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(until_at__isnull=True) | Q(until_at__gt=F("from_at")),
                name="husbandry_stay_in_order",
            ),
            models.UniqueConstraint(
                fields=["animal"],
                condition=Q(until_at__isnull=True),
                name="husbandry_stay_one_open",
            ),
        ]
        indexes = [
            # Read by: who stayed where during a night.
            models.Index(fields=["enclosure", "from_at"], name="husbandry_stay_where"),
        ]

    def __str__(self) -> str:
        return f"{self.animal} in {self.enclosure} from {self.from_at:%Y-%m-%d %H:%M}"
