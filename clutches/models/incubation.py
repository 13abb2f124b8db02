"""How eggs are to be kept, how warm they were, when they are expected to hatch."""

from django.db import models
from django.db.models import F, Q

from clutches.rules.vocabulary import ForecastBasis, PhaseKind
from core.choices import choices


class IncubationPlan(models.Model):
    """How the eggs of a species are kept, phase after phase."""

    code = models.CharField(max_length=40, unique=True)
    name = models.CharField(max_length=80)
    species = models.ForeignKey(
        "husbandry.Species", on_delete=models.PROTECT, related_name="+"
    )
    note = models.CharField(max_length=300, blank=True, help_text="Who says so.")
    retired_on = models.DateField(
        null=True, blank=True, help_text="Not offered for new clutches any more."
    )

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.name


class IncubationPhase(models.Model):
    """One part of an incubation plan."""

    plan = models.ForeignKey(
        IncubationPlan, on_delete=models.PROTECT, related_name="phases"
    )
    position = models.PositiveSmallIntegerField(help_text="From 1.")
    kind = models.CharField(max_length=5, choices=choices(PhaseKind))
    days = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="How long; empty: until they hatch."
    )
    day_low_c = models.DecimalField(max_digits=4, decimal_places=1, help_text="°C")
    day_high_c = models.DecimalField(max_digits=4, decimal_places=1, help_text="°C")
    night_low_c = models.DecimalField(max_digits=4, decimal_places=1, help_text="°C")
    night_high_c = models.DecimalField(max_digits=4, decimal_places=1, help_text="°C")

    class Meta:
        ordering = ["plan", "position"]
        constraints = [
            models.UniqueConstraint(
                fields=["plan", "position"], name="clutches_incubationphase_once"
            ),
            models.CheckConstraint(
                condition=Q(
                    day_high_c__gte=F("day_low_c"), night_high_c__gte=F("night_low_c")
                ),
                name="clutches_incubationphase_in_order",
            ),
            models.CheckConstraint(
                condition=Q(days__isnull=True) | Q(days__gte=1),
                name="clutches_incubationphase_lasts",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.plan} {self.position}: {self.kind}"


class IncubatorDay(models.Model):
    """How warm it was among the eggs at one probe, hour by hour of one local day.

    Kept for good, so that a forecast does not depend on readings of years ago.
    Written again as a whole whenever the night is reviewed.
    """

    pk = models.CompositePrimaryKey("probe", "on")
    probe = models.ForeignKey(
        "husbandry.Probe", on_delete=models.PROTECT, related_name="+", db_index=False
    )
    on = models.DateField()
    start_s = models.BigIntegerField(
        help_text="When the local day began, seconds since 1970-01-01T00:00Z."
    )
    hours_milli_c = models.JSONField(
        help_text="Time-weighted means of successive hours, thousandths of °C; null "
        "where less than half of the hour is known. 23 to 25 of them."
    )

    def __str__(self) -> str:
        return f"{self.probe} {self.on}"


class Forecast(models.Model):
    """When the eggs of one clutch in one box are expected to hatch, as of one night."""

    clutch = models.ForeignKey(
        "clutches.Clutch", on_delete=models.PROTECT, related_name="forecasts"
    )
    box = models.ForeignKey(
        "clutches.EggBox", on_delete=models.PROTECT, related_name="forecasts"
    )
    on = models.DateField(help_text="The local day up to whose end it looks back.")
    basis = models.CharField(max_length=16, choices=choices(ForecastBasis))
    earliest_on = models.DateField()
    likely_on = models.DateField()
    latest_on = models.DateField()
    coverage = models.DecimalField(
        max_digits=4,
        decimal_places=3,
        null=True,
        blank=True,
        help_text="Share of clutches meant to hatch within the window; empty: the "
        "profile's window, which states none.",
    )
    development = models.FloatField(
        null=True, blank=True, help_text="Share of development done, 0 to 1."
    )
    evidence = models.JSONField(default=dict, help_text="The numbers behind it.")

    class Meta:
        ordering = ["clutch", "box", "-on"]
        constraints = [
            models.UniqueConstraint(
                fields=["clutch", "box", "on"], name="clutches_forecast_once_a_night"
            ),
            models.CheckConstraint(
                condition=Q(
                    earliest_on__lte=F("likely_on"), likely_on__lte=F("latest_on")
                ),
                name="clutches_forecast_in_order",
            ),
        ]
        indexes = [
            # Read by: writing one night again.
            models.Index(fields=["on"], name="clutches_forecast_night"),
        ]

    def __str__(self) -> str:
        return f"{self.clutch} in {self.box}: {self.earliest_on} to {self.latest_on}"
