"""Clutches, their eggs, and who hatched from them."""

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q

from clutches.rules.vocabulary import Candled, ClutchKind, EggState, FailureCause
from core.choices import choices
from husbandry.models.records import CareRecord


class Clutch(models.Model):
    """What one female laid, or bore, on one day."""

    code = models.CharField(max_length=20, unique=True, help_text="As on its label.")
    species = models.ForeignKey(
        "husbandry.Species", on_delete=models.PROTECT, related_name="+"
    )
    site = models.ForeignKey("core.Site", on_delete=models.PROTECT, related_name="+")
    dam = models.ForeignKey(
        "husbandry.Animal",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="Empty: eggs of an unknown female.",
    )
    pairing = models.ForeignKey(
        "clutches.Pairing",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="clutches",
        help_text="Empty: no male, or none that is known.",
    )
    kind = models.CharField(
        max_length=10, choices=choices(ClutchKind), default=ClutchKind.EGGS.value
    )
    laid_on = models.DateField(help_text="Local day of laying, or of birth.")
    eggs_set = models.PositiveSmallIntegerField(
        default=0, help_text="Eggs that were kept to incubate."
    )
    eggs_infertile = models.PositiveSmallIntegerField(
        default=0, help_text="Eggs that were infertile to be seen when laid."
    )
    eggs_broken = models.PositiveSmallIntegerField(default=0)
    born_alive = models.PositiveSmallIntegerField(default=0, help_text="Live-bearers.")
    born_dead = models.PositiveSmallIntegerField(default=0, help_text="Live-bearers.")
    mass_g = models.DecimalField(
        max_digits=7,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
        help_text="Mass of all that was laid or born, grams.",
    )
    plan = models.ForeignKey(
        "clutches.IncubationPlan",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="clutches",
        help_text="Empty: what the care profile wants where eggs lie.",
    )
    note = models.CharField(max_length=300, blank=True)
    recorded_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["-laid_on", "code"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind="eggs", born_alive=0, born_dead=0)
                | Q(kind="live_young", eggs_set=0, eggs_infertile=0, eggs_broken=0),
                name="clutches_clutch_counts_by_kind",
            ),
            models.CheckConstraint(
                condition=Q(mass_g__isnull=True) | Q(mass_g__gt=0),
                name="clutches_clutch_mass_positive",
            ),
        ]
        indexes = [
            # Read by: what a female laid before, the newest first.
            models.Index(fields=["dam", "laid_on"], name="clutches_clutch_of_dam"),
        ]

    def __str__(self) -> str:
        return self.code


class Egg(models.Model):
    """One egg that was kept to incubate; where it lies stands in its places."""

    clutch = models.ForeignKey(Clutch, on_delete=models.PROTECT, related_name="eggs")
    number = models.PositiveSmallIntegerField(help_text="From 1 within its clutch.")
    state = models.CharField(
        max_length=10,
        choices=choices(EggState),
        default=EggState.INCUBATING.value,
    )
    pipped_on = models.DateField(null=True, blank=True)
    ended_on = models.DateField(
        null=True, blank=True, help_text="Local day on which it hatched or failed."
    )
    cause = models.CharField(max_length=12, choices=choices(FailureCause), blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["clutch", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["clutch", "number"], name="clutches_egg_number_once"
            ),
            models.CheckConstraint(
                condition=Q(number__gte=1), name="clutches_egg_number_from_one"
            ),
            models.CheckConstraint(
                condition=Q(state__in=["incubating", "pipped"], ended_on__isnull=True)
                | Q(state__in=["hatched", "failed"], ended_on__isnull=False),
                name="clutches_egg_ended_with_day",
            ),
            models.CheckConstraint(
                condition=(Q(state="failed") & ~Q(cause=""))
                | (~Q(state="failed") & Q(cause="")),
                name="clutches_egg_failed_with_cause",
            ),
            models.CheckConstraint(
                condition=Q(pipped_on__isnull=True)
                | Q(ended_on__isnull=True)
                | Q(ended_on__gte=F("pipped_on")),
                name="clutches_egg_pipped_before_end",
            ),
            models.CheckConstraint(
                condition=~Q(state="pipped") | Q(pipped_on__isnull=False),
                name="clutches_egg_pipped_with_day",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.clutch} egg {self.number}"


class EggCheck(CareRecord):
    """One egg was looked at: candled, weighed, or both."""

    egg = models.ForeignKey(Egg, on_delete=models.PROTECT, related_name="checks")
    seen = models.CharField(max_length=10, choices=choices(Candled), blank=True)
    mass_g = models.DecimalField(
        max_digits=6, decimal_places=3, null=True, blank=True, help_text="Grams."
    )

    class Meta(CareRecord.Meta):
        ordering = ["-at", "-pk"]
        constraints = [
            *CareRecord.Meta.constraints,
            models.CheckConstraint(
                condition=~Q(seen="") | Q(mass_g__isnull=False),
                name="clutches_eggcheck_says_something",
            ),
            models.CheckConstraint(
                condition=Q(mass_g__isnull=True) | Q(mass_g__gt=0),
                name="clutches_eggcheck_mass_positive",
            ),
        ]
        indexes = [
            # Read by: the last look at each egg of a box.
            models.Index(fields=["egg", "at"], name="clutches_eggcheck_when"),
        ]

    def __str__(self) -> str:
        return f"{self.egg}: {self.seen or self.mass_g} {self.at:%Y-%m-%d}"


class Hatchling(models.Model):
    """Which clutch, and which egg, an animal came from."""

    animal = models.OneToOneField(
        "husbandry.Animal", on_delete=models.PROTECT, related_name="hatchling"
    )
    clutch = models.ForeignKey(
        Clutch, on_delete=models.PROTECT, related_name="hatchlings"
    )
    egg = models.OneToOneField(
        Egg,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="hatchling",
        help_text="Empty: born alive, or the egg is not known.",
    )

    class Meta:
        ordering = ["clutch", "animal"]

    def __str__(self) -> str:
        return f"{self.animal} of {self.clutch}"
