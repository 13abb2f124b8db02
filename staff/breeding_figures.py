"""Breeding figures: what became of eggs and hatchlings, in sentences before tables."""

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from clutches.queries.figures import Asked, breeding_rows
from clutches.rules.figures.comparing import compare_survival
from clutches.rules.figures.counting import figures_of, survival_of
from clutches.rules.figures.exporting import eggs_as_csv, groups_as_csv
from clutches.rules.figures.grouping import GroupBy, grouped
from core.models import Site
from core.roles import Permission
from husbandry.models import Species
from staff.charting import svg
from staff.doors import opens_to, person
from staff.figure_words import comparison, figure_sentences, group_row, step_row
from staff.survival_charting import NARROW, WIDE, survival_chart
from staff.units import units_of

BY = {
    GroupBy.ALL: "all together",
    GroupBy.PAIR: "pair",
    GroupBy.CLUTCH: "clutch",
    GroupBy.DAM: "dam",
    GroupBy.INCUBATOR: "incubator",
    GroupBy.TEMPERATURE: "mean temperature of the eggs",
    GroupBy.YEAR: "year of laying",
    GroupBy.SPECIES: "species",
}
FILES = frozenset({"groups", "eggs"})


class FiguresForm(forms.Form):
    """Which clutches, and what tells them apart."""

    by = forms.ChoiceField(
        label="Tell apart by", choices=[(by.value, word) for by, word in BY.items()]
    )
    species = forms.ModelChoiceField(
        Species.objects.order_by("common_name"),
        to_field_name="code",
        required=False,
        empty_label="any species",
    )
    site = forms.ModelChoiceField(
        Site.objects.order_by("name", "pk"),
        to_field_name="code",
        required=False,
        empty_label="any site",
    )
    from_year = forms.IntegerField(
        label="Laid from year", required=False, min_value=1900, max_value=2200
    )
    until_year = forms.IntegerField(
        label="Laid until year", required=False, min_value=1900, max_value=2200
    )

    def clean(self) -> dict[str, Any]:
        """Refuse years that are the wrong way round."""
        given = super().clean() or self.cleaned_data
        first, last = given.get("from_year"), given.get("until_year")
        if first is not None and last is not None and first > last:
            self.add_error(
                "until_year",
                f"{last} is before {first}, the first year; give {first} or later.",
            )
        return given

    @property
    def asked(self) -> Asked:
        """Return which clutches are asked for; the form is valid."""
        given = self.cleaned_data
        return Asked(
            species=given["species"].code if given["species"] else "",
            site=given["site"].code if given["site"] else "",
            from_year=given["from_year"],
            until_year=given["until_year"],
        )

    @property
    def told_apart_by(self) -> GroupBy:
        """Return what tells groups apart; the form is valid."""
        return GroupBy(self.cleaned_data["by"])


@opens_to(Permission.SEE_ANIMALS)
def breeding_figures(request: HttpRequest) -> HttpResponse:
    """Show what became of eggs and hatchlings."""
    form = _form(request)
    context: dict[str, Any] = {"form": form, "rows": ()}
    if form.is_valid():
        found = breeding_rows(asked=form.asked, at=timezone.now())
        by, units = form.told_apart_by, units_of(person(request))
        groups = grouped(found, by)
        context |= {
            "rows": [group_row(n, figures_of(r), units) for n, r in groups.items()],
            "all": list(figure_sentences(found, units)) if found.clutches else (),
            "compared": comparison(compare_survival(groups)) if len(groups) > 1 else "",
            "steps": [step_row(one) for one in survival_of(found.hatchlings).steps],
            "cooler": by is GroupBy.TEMPERATURE,
            "many_hatchlings": bool(found.hatchlings),
            "nothing": not found.clutches,
            "query": urlencode(_given(request.GET)),
        }
    return render(request, "staff/breeding_figures.html", context)


@opens_to(Permission.SEE_ANIMALS)
def survival_picture(request: HttpRequest) -> HttpResponse:
    """Draw how the hatchlings that are asked for survive."""
    form = _form(request)
    course = survival_of(())
    if form.is_valid():
        rows = breeding_rows(asked=form.asked, at=timezone.now())
        course = survival_of(rows.hatchlings)
    narrow = request.GET.get("size") == "narrow"
    chart = survival_chart(course, size=NARROW if narrow else WIDE)
    return HttpResponse(
        svg(chart, dim=request.GET.get("light") == "dim"),
        content_type="image/svg+xml",
        headers={"Cache-Control": "private, max-age=60"},
    )


@opens_to(Permission.SEE_ANIMALS)
def breeding_file(request: HttpRequest, table: str) -> HttpResponse:
    """Write the figures, or every egg, as a file for a spreadsheet."""
    form = _form(request)
    if table not in FILES or not form.is_valid():
        raise Http404("There is no such table of figures.")
    rows = breeding_rows(asked=form.asked, at=timezone.now())
    groups = grouped(rows, form.told_apart_by)
    told = eggs_as_csv(rows)
    if table == "groups":
        told = groups_as_csv({name: figures_of(r) for name, r in groups.items()})
    return HttpResponse(
        told.encode(),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="breeding-{table}.csv"'},
    )


def _given(query: Mapping[str, str]) -> dict[str, str]:
    names = FiguresForm.base_fields
    return {name: query[name] for name in names if query.get(name)}


def _form(request: HttpRequest) -> FiguresForm:
    return FiguresForm({"by": GroupBy.ALL.value, **_given(request.GET)})
