"""Hatch forecasts: what they stand on, how well they held, how one clutch's moved."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from clutches.models import Clutch, Forecast
from clutches.queries.forecasts import (
    Course,
    SpeciesCalibration,
    calibrations,
    course_of,
    open_forecasts,
)
from clutches.rules.forecasting.calibrating import Trial
from core.charts.scales import MONTHS
from core.charts.tables import table
from core.charts.values import Chart
from core.roles import Permission
from husbandry.rules.sentences import numbers
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import Quantity
from staff.charting import svg
from staff.doors import opens_to, person
from staff.forecast_charting import (
    NARROW,
    WIDE,
    warmth_chart,
    warmth_line,
    window_chart,
)
from staff.forecast_words import (
    told_footing,
    told_forecast,
    told_held,
    told_left_out,
    told_measured,
    told_trial,
)
from staff.units import day, units_of


@dataclass(frozen=True, slots=True)
class TrialRow:
    """One past clutch: what the others told of it, and what came."""

    clutch: str
    laid: str
    kept: str
    told: str
    came: str
    held: str


@dataclass(frozen=True, slots=True)
class SpeciesPart:
    """One species on the page of calibration."""

    name: str
    stands: tuple[str, ...]
    held: tuple[str, ...]
    rows: tuple[TrialRow, ...]
    left_out: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MovedRow:
    """A night on which a window was first told as it was."""

    on: str
    box: str
    window: str
    likely: str


@dataclass(frozen=True, slots=True)
class WarmRow:
    """How warm it was in one month."""

    month: str
    hours: str
    lowest: str
    highest: str


@opens_to(Permission.SEE_ANIMALS)
def forecast_calibration(request: HttpRequest) -> HttpResponse:
    """Show what forecasts stand on and how well they would have held."""
    units = units_of(person(request))
    context = {
        "species": [
            _species(one, units) for one in calibrations(on=timezone.localdate())
        ],
        "forecasts": [(row.clutch, told_forecast(row)) for row in open_forecasts()],
    }
    return render(request, "staff/forecasts.html", context)


@opens_to(Permission.SEE_ANIMALS)
def forecast(request: HttpRequest, code: str) -> HttpResponse:
    """Show one clutch's window, how it moved, and how warm the eggs were."""
    clutch = _clutch(code)
    units = units_of(person(request))
    course = course_of(clutch=clutch, at=timezone.now())
    newest = {row.box_id: row for row in course.forecasts}
    context = {
        "clutch": clutch,
        "told": [(told_forecast(r), told_measured(r)) for r in newest.values()],
        "moved": list(_moved(course)),
        "warm": list(_warm(clutch, course, units)),
    }
    return render(request, "staff/forecast.html", context)


@opens_to(Permission.SEE_ANIMALS)
def forecast_svg(request: HttpRequest, code: str) -> HttpResponse:
    """Draw how a clutch's window moved night by night."""
    clutch = _clutch(code)
    course = course_of(clutch=clutch, at=timezone.now())
    size = NARROW if request.GET.get("size") == "narrow" else WIDE
    return _drawn(request, window_chart(clutch, course, size=size))


@opens_to(Permission.SEE_ANIMALS)
def warmth_svg(request: HttpRequest, code: str) -> HttpResponse:
    """Draw how warm a clutch's eggs were since laying."""
    clutch = _clutch(code)
    course = course_of(clutch=clutch, at=timezone.now())
    size = NARROW if request.GET.get("size") == "narrow" else WIDE
    units = units_of(person(request))
    return _drawn(request, warmth_chart(clutch, course, units=units, size=size))


def _clutch(code: str) -> Clutch:
    return get_object_or_404(Clutch.objects.select_related("site"), code=code)


def _drawn(request: HttpRequest, chart: Chart) -> HttpResponse:
    return HttpResponse(
        svg(chart, dim=request.GET.get("light") == "dim"),
        content_type="image/svg+xml",
        headers={"Cache-Control": "private, max-age=60"},
    )


def _species(found: SpeciesCalibration, units: Units) -> SpeciesPart:
    calibration = found.calibration
    return SpeciesPart(
        name=found.name,
        stands=tuple(told_footing(found, units)),
        held=tuple(told_held(calibration)),
        rows=tuple(_trial(one, units) for one in reversed(calibration.trials)),
        left_out=tuple(told_left_out(calibration.footing)),
    )


def _trial(trial: Trial, units: Units) -> TrialRow:
    clutch = trial.clutch
    kept = numbers.value(clutch.mean_c, Quantity.TEMPERATURE_C, units)
    return TrialRow(
        clutch=clutch.code,
        laid=day(clutch.laid_on),
        kept=f"{kept}, {100 * clutch.measured:.0f} % measured",
        told=told_trial(trial),
        came=f"day {clutch.first} to {clutch.last}, half by {clutch.middle:g}",
        held={True: "held", False: "not held", None: "–"}[trial.held],
    )


def _moved(course: Course) -> Iterator[MovedRow]:
    """Yield the nights on which a window moved, the newest first."""
    rows = []
    for _, some in groupby(course.forecasts, key=lambda row: row.box_id):
        before: tuple[date, ...] | None = None
        for row in some:
            window = row.earliest_on, row.likely_on, row.latest_on
            if window != before:
                rows.append(row)
            before = window
    for row in sorted(rows, key=lambda row: (row.on, row.box.code), reverse=True):
        yield _moved_row(row)


def _moved_row(row: Forecast) -> MovedRow:
    return MovedRow(
        on=day(row.on),
        box=row.box.code,
        window=f"{day(row.earliest_on)} to {day(row.latest_on)}",
        likely=day(row.likely_on),
    )


def _warm(clutch: Clutch, course: Course, units: Units) -> Iterator[WarmRow]:
    unit = units.temperature.value
    for row in table(warmth_line(clutch, course, units), name=_month):
        low, high = (
            "–" if end is None else f"{end:.1f} °{unit}"
            for end in (row.lowest, row.highest)
        )
        yield WarmRow(row.name, f"{row.points} h", low, high)


def _month(ordinal: float) -> str:
    on = date.fromordinal(int(ordinal))
    return f"{MONTHS[on.month - 1]} {on.year}"
