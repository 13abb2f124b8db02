"""Hatch forecasts, night by night, and how well they would have held before."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Annotated, Any

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.filters import (
    BooleanFilter,
    CharFilter,
    DayFilter,
    FilterSet,
    WordFilter,
)
from api.forecast_structs import CalibrationAsked, CalibrationOut, shown_calibration
from api.structs import Out, Ref, ref
from api.views import Rows
from clutches.models import Forecast
from clutches.queries.forecasts import calibrations, forecasts
from clutches.rules.vocabulary import ForecastBasis
from core.roles import Permission


class ForecastFilter(FilterSet):
    """Which forecasts."""

    clutch = CharFilter("clutch__code", help_text="Code of the clutch.")
    box = CharFilter("box__code", help_text="Code of the box.")
    on = DayFilter(help_text="The local day up to whose end it looks back.")
    basis = WordFilter(ForecastBasis)
    newest = BooleanFilter(help_text="true: the newest of each clutch and box.")
    from_on = DayFilter("on", "gte", help_text="Of this night or later.")
    until_on = DayFilter("on", "lte", help_text="Of this night or earlier.")

    class Meta:
        model = Forecast
        fields = [
            "clutch",
            "box",
            "on",
            "basis",
            "newest",
            *("from_on", "until_on"),
        ]


class ForecastOut(Out, frozen=True):
    """When the eggs of one clutch in one box are expected, as of one night."""

    about = Forecast
    id: int
    clutch: Ref | None
    box: Ref | None
    on: date
    basis: ForecastBasis
    earliest_on: date
    likely_on: date
    latest_on: date
    coverage: Decimal | None
    development: float | None
    evidence: Annotated[
        dict[str, Any], Meta(description="The numbers behind it; see ADR 0013.")
    ]


class Forecasts(Rows[Forecast]):
    """The newest night first; the window is the forecast, not its middle."""

    plural = "forecasts"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "calibration": Permission.SEE_ANIMALS,
    }
    filterset_class = ForecastFilter
    asks = {"calibration": CalibrationAsked}
    gives = {"calibration": list[CalibrationOut]}
    out = ForecastOut
    ordering = ("-on", "-id")
    searched = ("clutch__code", "box__code")
    orderable = ("id", "on")

    def get_queryset(self) -> QuerySet[Forecast]:
        """Return all forecasts."""
        return forecasts()

    def shown(self, rows: Sequence[Forecast]) -> list[ForecastOut]:
        """Return forecasts with the codes of clutch and box."""
        return [_shown(row) for row in rows]

    @action(detail=False)
    def calibration(self, request: Request) -> Response:
        """Forecast each clutch that hatched by all the others, and compare.

        By species: what its forecasts stand on, each clutch with the window that the
        others would have told and what came, and in how many of how many cases the
        whole clutch hatched within.
        """
        assert isinstance(self.asked, CalibrationAsked)  # noqa: S101 - see `asks`
        found = calibrations(on=timezone.localdate(), species_code=self.asked.species)
        return Response([shown_calibration(one) for one in found])


def _shown(row: Forecast) -> ForecastOut:
    return ForecastOut(
        id=row.pk,
        clutch=ref(row.clutch),
        box=ref(row.box),
        on=row.on,
        basis=ForecastBasis(row.basis),
        earliest_on=row.earliest_on,
        likely_on=row.likely_on,
        latest_on=row.latest_on,
        coverage=row.coverage,
        development=row.development,
        evidence=row.evidence,
    )
