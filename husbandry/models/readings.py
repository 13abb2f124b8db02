"""Readings, what they add up to by day, and the files they came from."""

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models

from core.choices import choices
from husbandry.rules.vocabulary import Period, Quantity


class Reading(models.Model):
    """What a probe measured at one instant, in exact thousandths.

    Integers, so that sums are exact in whatever order they are added, on both
    databases and in numpy alike (ADR 0002). Empty: not measured then. The
    migration `reading_storage` adds what the night's window is read by. The link
    to the probe is not checked row by row by the database: storing checks it once
    a batch, and probes are never deleted.
    """

    pk = models.CompositePrimaryKey("probe", "at")
    at = models.BigIntegerField(help_text="Seconds since 1970-01-01T00:00Z.")
    probe = models.ForeignKey(
        "husbandry.Probe",
        on_delete=models.PROTECT,
        related_name="+",
        db_index=False,
        db_constraint=False,
    )
    temperature_milli_c = models.IntegerField(null=True, help_text="Thousandths of °C.")
    humidity_milli_pct = models.IntegerField(null=True, help_text="Thousandths of %.")
    uv_index_milli = models.IntegerField(
        null=True, help_text="Thousandths of UV index."
    )

    def __str__(self) -> str:
        return f"{self.probe_id} at {self.at}"


class Conditions(models.Model):
    """What one probe's readings of one local day add up to, by period and quantity.

    Where the animals of a group have different bands there is a row for each band.
    Written again as a whole whenever the night is reviewed.
    """

    pk = models.CompositePrimaryKey("probe", "on", "period", "quantity", "band")
    on = models.DateField()
    probe = models.ForeignKey(
        "husbandry.Probe",
        on_delete=models.PROTECT,
        related_name="+",
        db_index=False,
        db_constraint=False,
    )
    period = models.CharField(max_length=8, choices=choices(Period))
    quantity = models.CharField(max_length=20, choices=choices(Quantity))
    band = models.PositiveSmallIntegerField(
        default=0, help_text="0, or a number where occupants have different bands."
    )
    readings = models.IntegerField(help_text="Readings in the period.")
    expected_s = models.IntegerField(help_text="Length of the period, seconds.")
    covered_s = models.IntegerField(help_text="Seconds with a valid value in force.")
    impossible_s = models.IntegerField(help_text="Seconds with an impossible value.")
    mean = models.FloatField(null=True, help_text="Time-weighted mean.")
    lowest = models.FloatField(null=True)
    highest = models.FloatField(null=True)
    low = models.FloatField(null=True, help_text="Lower end of the wanted band.")
    high = models.FloatField(null=True, help_text="Upper end of the wanted band.")
    below_s = models.IntegerField(help_text="Seconds below the band.")
    above_s = models.IntegerField(help_text="Seconds above the band.")
    longest_below_s = models.IntegerField(help_text="Longest unbroken spell below.")
    longest_above_s = models.IntegerField(help_text="Longest unbroken spell above.")
    below_unit_minutes = models.FloatField(help_text="Depth below × minutes.")
    above_unit_minutes = models.FloatField(help_text="Height above × minutes.")

    class Meta:
        verbose_name_plural = "conditions"
        indexes = [
            # Read by: everything of one night; deleting a night before writing it again.
            models.Index(fields=["on"], name="husbandry_conditions_on"),
        ]

    def __str__(self) -> str:
        return f"{self.probe_id} {self.on} {self.period} {self.quantity}"


class LoggerMapping(models.Model):
    """How the columns of one source's files are read, confirmed by a person."""

    name = models.CharField(max_length=80, unique=True, help_text="Name of the source.")
    document = models.JSONField(help_text="The mapping, as rules.loggers writes it.")
    saved_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    saved_at = models.DateTimeField()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class ReadingImport(models.Model):
    """One file of readings that was taken in (or refused), and its report."""

    file_name = models.CharField(max_length=200)
    sha256 = models.CharField(max_length=64, db_index=True)
    imported_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    imported_at = models.DateTimeField()
    accepted = models.BooleanField(help_text="False: the file was refused whole.")
    rows_read = models.PositiveIntegerField(default=0)
    rows_stored = models.PositiveIntegerField(default=0)
    rows_known = models.PositiveIntegerField(default=0)
    rows_refused = models.PositiveIntegerField(default=0)
    report = models.JSONField(encoder=DjangoJSONEncoder, default=dict)

    class Meta:
        ordering = ["-imported_at"]

    def __str__(self) -> str:
        return f"{self.file_name} ({self.imported_at:%Y-%m-%d})"
