"""Enclosures, how they were set up over time, what can be seen from them, probes."""

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q

from core.choices import choices
from husbandry.rules.vocabulary import EnclosureKind, Lights, Misting, Zone


class Enclosure(models.Model):
    """Where animals live; an incubator is one too. Its set-ups say how it stands."""

    code = models.CharField(max_length=20, unique=True, help_text="As on its label.")
    room = models.ForeignKey(
        "core.Room", on_delete=models.PROTECT, related_name="enclosures"
    )
    position = models.PositiveSmallIntegerField(
        default=0, help_text="Order in which the room is walked."
    )
    kind = models.CharField(max_length=12, choices=choices(EnclosureKind))
    notes = models.TextField(blank=True)
    retired_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["room", "position", "code"]

    def __str__(self) -> str:
        return self.code


class Setup(models.Model):
    """How an enclosure stands from a day on, until the next set-up."""

    enclosure = models.ForeignKey(
        Enclosure, on_delete=models.PROTECT, related_name="setups"
    )
    from_on = models.DateField()
    width_cm = models.DecimalField(
        max_digits=6, decimal_places=1, validators=[MinValueValidator(1)]
    )
    depth_cm = models.DecimalField(
        max_digits=6, decimal_places=1, validators=[MinValueValidator(1)]
    )
    height_cm = models.DecimalField(
        max_digits=6, decimal_places=1, validators=[MinValueValidator(1)]
    )
    lights = models.CharField(
        max_length=10, choices=choices(Lights), default=Lights.TIMER.value
    )
    lights_on = models.TimeField(
        null=True, blank=True, help_text="Local time; timer only."
    )
    lights_off = models.TimeField(
        null=True, blank=True, help_text="Local time; timer only."
    )
    laying_bin = models.BooleanField(
        default=False, help_text="A place to dig and lay is there."
    )
    misting = models.CharField(
        max_length=10,
        choices=choices(Misting),
        default=Misting.BY_HAND.value,
        help_text="By hand: misting is a task of the round.",
    )
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["enclosure", "-from_on"]
        constraints = [
            models.UniqueConstraint(
                fields=["enclosure", "from_on"], name="husbandry_setup_once_a_day"
            ),
            models.CheckConstraint(
                condition=Q(width_cm__gt=0, depth_cm__gt=0, height_cm__gt=0),
                name="husbandry_setup_has_size",
            ),
            models.CheckConstraint(
                condition=Q(
                    lights="timer", lights_on__isnull=False, lights_off__isnull=False
                )
                | Q(lights="natural", lights_on__isnull=True, lights_off__isnull=True),
                name="husbandry_setup_timer_has_times",
            ),
            models.CheckConstraint(
                condition=Q(lights_on__isnull=True) | Q(lights_off__gt=F("lights_on")),
                name="husbandry_setup_lights_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.enclosure} from {self.from_on}"


class SightLine(models.Model):
    """Two enclosures from each of which the other can be seen."""

    enclosure = models.ForeignKey(
        Enclosure, on_delete=models.PROTECT, related_name="sight_lines"
    )
    other = models.ForeignKey(Enclosure, on_delete=models.PROTECT, related_name="+")
    from_on = models.DateField()
    until_on = models.DateField(
        null=True, blank=True, help_text="Last day; empty: nothing stands between yet."
    )

    class Meta:
        ordering = ["enclosure", "other", "from_on"]
        constraints = [
            models.CheckConstraint(
                condition=Q(enclosure__lt=F("other")),
                name="husbandry_sightline_lower_first",
            ),
            models.UniqueConstraint(
                fields=["enclosure", "other", "from_on"],
                name="husbandry_sightline_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.enclosure} – {self.other}"


class Probe(models.Model):
    """One instrument at one spot of one enclosure; moved, it is a new probe."""

    code = models.CharField(max_length=40, unique=True, help_text="As on its label.")
    enclosure = models.ForeignKey(
        Enclosure, on_delete=models.PROTECT, related_name="probes"
    )
    zone = models.CharField(max_length=12, choices=choices(Zone))
    measures_temperature = models.BooleanField(default=True)
    measures_humidity = models.BooleanField(default=False)
    measures_uv_index = models.BooleanField(default=False)
    interval_s = models.PositiveIntegerField(
        default=300,
        validators=[MinValueValidator(1)],
        help_text="Seconds between readings, as it was set.",
    )
    from_on = models.DateField()
    retired_on = models.DateField(null=True, blank=True, help_text="Last day in use.")

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(
                condition=Q(measures_temperature=True)
                | Q(measures_humidity=True)
                | Q(measures_uv_index=True),
                name="husbandry_probe_measures_something",
            ),
            models.CheckConstraint(
                condition=Q(interval_s__gt=0), name="husbandry_probe_interval_positive"
            ),
        ]

    def __str__(self) -> str:
        return self.code
