"""Breeding figures: what became of eggs and hatchlings, in sentences before tables."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from clutches.queries.figures import Asked, breeding_rows
from clutches.rules.figures.comparing import LEAST, Survivals, compare_survival
from clutches.rules.figures.counting import (
    SURVIVAL_DAYS,
    Figures,
    Span,
    figures_of,
    survival_of,
)
from clutches.rules.figures.exporting import eggs_as_csv, groups_as_csv
from clutches.rules.figures.facts import BreedingRows
from clutches.rules.figures.grouping import GroupBy, grouped
from clutches.rules.statistics import Course, Share
from core.models import Site
from core.roles import Permission
from husbandry.models import Species
from husbandry.rules.sentences import numbers
from husbandry.rules.sentences.numbers import Units
from staff.charting import svg
from staff.doors import opens_to, person
from staff.survival_charting import NARROW, WIDE, survival_chart
from staff.units import count, units_of

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


@dataclass(frozen=True, slots=True)
class GroupRow:
    """One group in words; "" where there is nothing to tell."""

    name: str
    eggs: str
    fertility: str
    hatched: str
    days: str
    mass: str
    survival: str
    sexes: str


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
            "rows": [_row(n, figures_of(r), units) for n, r in groups.items()],
            "all": list(_sentences(found, units)) if found.clutches else (),
            "compared": _compared(compare_survival(groups)),
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


def _sentences(rows: BreedingRows, units: Units) -> Iterator[str]:
    """Tell what all that was asked for adds up to, the surest first."""
    found = figures_of(rows)
    laid = [count(found.eggs_set, "egg") + " set"] if found.eggs_set else []
    born = [f"{found.born_alive} born alive"] if found.born_alive else []
    yield f"{count(found.clutches, 'clutch', 'clutches')}, {', '.join([*laid, *born])}."
    if found.hatch_rate.of:
        yield (
            f"Of the eggs that have hatched or failed, {_share(found.hatch_rate)} "
            f"hatched; {_open(found)}."
        )
    elif found.eggs_set:
        yield f"No egg has hatched or failed yet; {found.open} incubate."
    if found.days.count:
        yield f"They took {_span(found.days, 'days')}."
    if found.hatchlings:
        yield f"Of {count(found.hatchlings, 'hatchling')}: {_survival(found.survival)}."
        yield f"Sexes: {_sexes(found)}."
    if found.undated:
        yield (
            f"{count(found.undated, 'hatchling')} without an exact hatch date "
            "stand in no survival."
        )
    if found.mass_g.count:
        yield f"Hatchlings weighed {_masses(found.mass_g, units)}."


def _open(found: Figures) -> str:
    """Return how many incubate, and what that means for a rate of those that ended."""
    if not found.open:
        return "none incubates any more"
    return (
        f"{found.open} still incubate, and what fails mostly ends sooner: at most "
        f"{found.at_most} of {found.kept} will have hatched"
    )


def _row(name: str, found: Figures, units: Units) -> GroupRow:
    eggs = f"{found.eggs_set} set in {count(found.clutches, 'clutch', 'clutches')}"
    if found.infertile_at_laying or found.broken_at_laying:
        eggs += (
            f"; {found.infertile_at_laying} infertile and {found.broken_at_laying} "
            "broken when laid"
        )
    if found.born_alive or found.born_dead:
        eggs = f"{found.born_alive} born alive, {found.born_dead} dead"
    undecided = f"; {found.undecided} not known" if found.undecided else ""
    still = f"; {found.open} still incubate" if found.open else ""
    return GroupRow(
        name=name,
        eggs=eggs,
        fertility=f"{_share(found.fertility)}{undecided}",
        hatched=f"{_share(found.hatch_rate)}{still}",
        days=_span(found.days, "days") if found.days.count else "",
        mass=_masses(found.mass_g, units) if found.mass_g.count else "",
        survival=_survival(found.survival) if found.hatchlings else "",
        sexes=_sexes(found) if found.hatchlings else "",
    )


def _share(share: Share) -> str:
    """Return `13 of 16 (81 %, 57–93 %)`; of nothing a dash."""
    if share.value is None:
        return "–"
    ends = f"{100 * share.low:.0f}–{100 * share.high:.0f} %"
    return f"{share.count} of {share.of} ({100 * share.value:.0f} %, {ends})"


def _span(span: Span, unit: str) -> str:
    assert span.median is not None  # noqa: S101 - asked where there is one
    if span.least == span.most:
        return f"{span.median:g} {unit} (n = {span.count})"
    return (
        f"{span.median:g} {unit} in the middle, {span.least:g} to {span.most:g} "
        f"(n = {span.count})"
    )


def _masses(span: Span, units: Units) -> str:
    low, middle, high = (
        numbers.mass(f"{value:.2f}", units)
        for value in (span.least or 0, span.median or 0, span.most or 0)
    )
    if span.count == 1:
        return f"{middle} (n = 1)"
    return f"{middle} in the middle, {low} to {high} (n = {span.count})"


def _survival(course: Course) -> str:
    told = []
    for days in SURVIVAL_DAYS:
        known = course.at(days)
        if known is None:
            told.append(f"day {days}: nobody was watched so long")
        else:
            ends = f"{100 * known.low:.0f}–{100 * known.high:.0f} %"
            alive = f"{100 * known.surviving:.0f} % alive"
            told.append(f"day {days}: {alive} ({ends}, {known.at_risk} watched)")
    return ", ".join(told)


def _sexes(found: Figures) -> str:
    sexes = found.sexes
    told = f"{sexes.female} female, {sexes.male} male, {sexes.unclear} not settled"
    if sexes.p is None:
        return told
    ends = f"{100 * sexes.females.low:.0f}–{100 * sexes.females.high:.0f} %"
    return f"{told}; females {ends}, against 1:1 p = {_p(sexes.p)}"


def _p(p: float) -> str:
    return "under 0.001" if p < 0.001 else f"{p:.3f}"


def _compared(found: Survivals) -> str:
    small = (
        f" Left out, with fewer than {LEAST} hatchlings: {', '.join(found.left_out)}."
        if found.left_out
        else ""
    )
    if found.comparison is None:
        return ""
    told = found.comparison
    return (
        f"Survival of {' and '.join(found.groups)} compared (log-rank test): "
        f"χ² = {told.chi_square:.2f} with {told.freedom} degrees of freedom, "
        f"p = {_p(told.p)}. A small p says that so large a difference is rare by "
        "chance, not why there is one; who compares many things finds one such by "
        f"chance alone.{small}"
    )
