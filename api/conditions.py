"""Conditions: what the readings of a local day add up to."""

from collections.abc import Sequence
from datetime import date
from typing import Annotated

from django.db.models import QuerySet
from msgspec import Meta

from api.filters import CharFilter, DayFilter, FilterSet, WordFilter
from api.structs import Out, Ref, ref
from api.views import Listed
from core.roles import Permission
from husbandry.models import Conditions
from husbandry.rules.vocabulary import Period, Quantity, Zone

UNIT = "°C, % or UV index, by `quantity`."


class ConditionsFilter(FilterSet):
    """Which conditions."""

    on = DayFilter(help_text="One local day.")
    from_on = DayFilter("on", "gte", help_text="First local day.")
    until_on = DayFilter("on", "lte", help_text="Last local day.")
    site = CharFilter(
        "probe__enclosure__room__site__code", help_text="Code of the site."
    )
    enclosure = CharFilter("probe__enclosure__code", help_text="Code of the enclosure.")
    probe = CharFilter("probe__code", help_text="Code of the probe.")
    zone = WordFilter(Zone, "probe__zone")
    period = WordFilter(Period)
    quantity = WordFilter(Quantity)

    class Meta:
        model = Conditions
        fields = [
            "on",
            "from_on",
            "until_on",
            "site",
            "enclosure",
            "probe",
            "zone",
            "period",
            "quantity",
        ]


class ConditionsOut(Out, frozen=True):
    """One probe, one local day, one part of it, one quantity."""

    about = Conditions
    on: date
    probe: Ref | None
    zone: Zone
    period: Period
    quantity: Quantity
    band: int
    readings: int
    expected_s: int
    covered_s: int
    impossible_s: int
    mean: Annotated[float | None, Meta(description=f"Time-weighted; {UNIT}")]
    lowest: Annotated[float | None, Meta(description=UNIT)]
    highest: Annotated[float | None, Meta(description=UNIT)]
    low: Annotated[float | None, Meta(description=f"Lower end wanted; {UNIT}")]
    high: Annotated[float | None, Meta(description=f"Upper end wanted; {UNIT}")]
    below_s: int
    above_s: int
    longest_below_s: int
    longest_above_s: int
    below_unit_minutes: float
    above_unit_minutes: float


class AllConditions(Listed[Conditions]):
    """Seconds without a reading in force are in no mean: compare `covered_s`."""

    plural = "conditions"
    permissions = {"list": Permission.SEE_CONDITIONS}
    filterset_class = ConditionsFilter
    out = ConditionsOut
    ordering = ("-on", "probe_id", "period", "quantity", "band")
    orderable = ("on",)

    def get_queryset(self) -> QuerySet[Conditions]:
        """Return the conditions of all days."""
        return Conditions.objects.select_related("probe")

    def shown(self, rows: Sequence[Conditions]) -> list[ConditionsOut]:
        """Return conditions with the probe's code and spot."""
        return [_shown(row) for row in rows]


def _shown(row: Conditions) -> ConditionsOut:
    return ConditionsOut(
        on=row.on,
        probe=ref(row.probe),
        zone=Zone(row.probe.zone),
        period=Period(row.period),
        quantity=Quantity(row.quantity),
        band=row.band,
        readings=row.readings,
        expected_s=row.expected_s,
        covered_s=row.covered_s,
        impossible_s=row.impossible_s,
        mean=row.mean,
        lowest=row.lowest,
        highest=row.highest,
        low=row.low,
        high=row.high,
        below_s=row.below_s,
        above_s=row.above_s,
        longest_below_s=row.longest_below_s,
        longest_above_s=row.longest_above_s,
        below_unit_minutes=row.below_unit_minutes,
        above_unit_minutes=row.above_unit_minutes,
    )
