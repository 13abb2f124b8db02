"""Figures of intakes and outcomes: counts, census, live release, length of stay."""

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from core.admin import DayField
from core.charts.values import Chart
from core.errors import DomainError
from core.roles import Permission
from husbandry.models import Species
from placements.queries.figures import charge_rows, latest_day
from placements.rules.figures.asking import period_asked
from placements.rules.figures.census import CensusDay, census
from placements.rules.figures.counting import Figures, figures_of
from placements.rules.figures.exporting import (
    census_as_csv,
    figures_as_csv,
    left_out_as_csv,
)
from placements.rules.figures.facts import Charge, LeftOut, Period
from placements.rules.figures.grouping import FiguresBy, grouped_figures
from staff.charting import svg
from staff.doors import opens_to
from staff.outcome_words import group_words, left_out_row
from staff.refusals import refuse
from staff.stay_charting import census_chart, stay_chart
from staff.survival_charting import NARROW, WIDE

BY = {
    FiguresBy.ALL: "all together",
    FiguresBy.SPECIES: "species",
    FiguresBy.SOURCE: "how they came",
    FiguresBy.MONTH: "month",
    FiguresBy.YEAR: "year",
}
FILES = ("figures", "census", "left-out")
PICTURES = ("census", "stay")


class FiguresForm(forms.Form):
    """Which animals, over which period, told apart by what."""

    by = forms.ChoiceField(
        label="Tell apart by", choices=[(by.value, word) for by, word in BY.items()]
    )
    species = forms.ModelChoiceField(
        Species.objects.order_by("common_name"),
        to_field_name="code",
        required=False,
        empty_label="any species",
    )
    from_on = DayField(
        label="From",
        required=False,
        help_text="Empty: a year before the last day.",
    )
    until_on = DayField(
        label="Until",
        required=False,
        help_text="Empty: today.",
    )

    def period(self) -> Period | None:
        """Return the period that is asked for; None: it is refused beside its field."""
        given = self.cleaned_data
        try:
            return period_asked(
                given["from_on"], given["until_on"], on=latest_day(timezone.now())
            )
        except DomainError as error:
            refuse(self, error)
            return None


class _Found:
    """What was asked for, and what there is."""

    def __init__(self, form: FiguresForm, period: Period) -> None:
        species = form.cleaned_data["species"]
        self.on = latest_day(timezone.now())
        self.period = period
        self.by = FiguresBy(form.cleaned_data["by"])
        rows = charge_rows(species=species.code if species else "", on=self.on)
        self.charges: tuple[Charge, ...] = tuple(rows.charges)
        self.left_out: tuple[LeftOut, ...] = tuple(rows.left_out)

    def groups(self) -> Mapping[str, Figures]:
        """Return the figures of each group."""
        return grouped_figures(self.charges, by=self.by, period=self.period, on=self.on)

    def census(self) -> tuple[CensusDay, ...]:
        """Return the census alone, as the API does; the other figures cost more."""
        return census(self.charges, period=self.period, on=self.on)

    def all(self) -> Figures:
        """Return the figures of all together."""
        return figures_of(self.charges, period=self.period, on=self.on)


@opens_to(Permission.SEE_PLACEMENTS)
def placement_figures(request: HttpRequest) -> HttpResponse:
    """Show what became of the animals that came."""
    form = _form(request)
    found = _found(form)
    context: dict[str, Any] = {"form": form, "found": found is not None}
    if found is not None:
        names = {s.code: s.common_name for s in Species.objects.all()}
        context |= {
            "groups": [
                group_words(names.get(name, name.replace("_", " ")), one)
                for name, one in found.groups().items()
            ],
            "left_out": [left_out_row(one) for one in found.left_out],
            "files": FILES,
            "query": urlencode(_given(request.GET)),
        }
    return render(request, "staff/placement_figures.html", context)


@opens_to(Permission.SEE_PLACEMENTS)
def placement_picture(request: HttpRequest, name: str) -> HttpResponse:
    """Draw the census, or how long animals stay."""
    found = _found(_form(request))
    if name not in PICTURES or found is None:
        raise Http404("There is no such picture.")
    chart = _chart(name, found, narrow=request.GET.get("size") == "narrow")
    return HttpResponse(
        svg(chart, dim=request.GET.get("light") == "dim"),
        content_type="image/svg+xml",
        headers={"Cache-Control": "private, max-age=60"},
    )


def _chart(name: str, found: _Found, *, narrow: bool) -> Chart:
    size = NARROW if narrow else WIDE
    if name == "census":
        return census_chart(found.census(), size=size)
    return stay_chart(found.all().stay.course, size=size)


@opens_to(Permission.SEE_PLACEMENTS)
def placement_file(request: HttpRequest, table: str) -> HttpResponse:
    """Write the figures, the census or what was left out as a file."""
    found = _found(_form(request))
    if table not in FILES or found is None:
        raise Http404("There is no such table of figures.")
    told = {
        "figures": lambda: figures_as_csv(found.groups()),
        "census": lambda: census_as_csv(found.census()),
        "left-out": lambda: left_out_as_csv(found.left_out),
    }[table]()
    return HttpResponse(
        told.encode(),
        content_type="text/csv; charset=utf-8",
        headers={
            "Content-Disposition": f'attachment; filename="placement-{table}.csv"'
        },
    )


def _given(query: Mapping[str, str]) -> dict[str, str]:
    names = FiguresForm.base_fields
    return {name: query[name] for name in names if query.get(name)}


def _form(request: HttpRequest) -> FiguresForm:
    return FiguresForm({"by": FiguresBy.ALL.value, **_given(request.GET)})


def _found(form: FiguresForm) -> _Found | None:
    period = form.period() if form.is_valid() else None
    return _Found(form, period) if period is not None else None
