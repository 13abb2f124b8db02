"""The register: who came from where, who left to whom, numbered without a gap."""

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from core.admin import DayField
from core.roles import Permission
from placements.actions.register import write_register
from placements.queries.register import (
    numbers_are_whole,
    register_lines,
    register_rows,
)
from placements.rules.register.exporting import register_as_csv
from placements.rules.vocabulary import Direction
from staff.doors import opens_to, person
from staff.outcome_words import HOW
from staff.units import count

ON_A_PAGE = 100


class PeriodForm(forms.Form):
    """Of which days, by when the animal came or left."""

    from_on = DayField(label="From", required=False)
    until_on = DayField(label="Until", required=False)

    def clean(self) -> dict[str, Any]:
        """Refuse days that are the wrong way round."""
        given = super().clean() or self.cleaned_data
        first, last = given.get("from_on"), given.get("until_on")
        if first and last and first > last:
            self.add_error(
                "until_on", f"{last} is before {first}; give {first} or later."
            )
        return given


@opens_to(Permission.SEE_REGISTER)
@require_safe
def register(request: HttpRequest) -> HttpResponse:
    """Show the lines of a period, a hundred to a page."""
    form, reader = PeriodForm(_given(request.GET)), person(request)
    names = reader.may(Permission.SEE_HOMES)
    context: dict[str, Any] = {
        "form": form,
        "names": names,
        "whole": numbers_are_whole(),
        "writes": reader.may(Permission.MANAGE_PLACEMENTS),
    }
    if form.is_valid():
        page = _page_asked(request)
        lines = register_lines(**_period(form))
        start = (page - 1) * ON_A_PAGE
        found = list(register_rows(lines[start : start + ON_A_PAGE + 1], names=names))
        context |= {
            "rows": [
                (row, HOW[row.how], row.direction is Direction.CAME)
                for row in found[:ON_A_PAGE]
            ],
            "query": urlencode(_given(request.GET)),
            "next": page + 1 if len(found) > ON_A_PAGE else 0,
            "before": page - 1,
        }
    return render(request, "staff/register.html", context)


@opens_to(Permission.SEE_REGISTER)
@require_safe
def register_file(request: HttpRequest) -> HttpResponse:
    """Write the lines of a period as a file for an authority or a spreadsheet."""
    form = PeriodForm(_given(request.GET))
    if not form.is_valid():
        raise Http404("There is no such period.")
    names = person(request).may(Permission.SEE_HOMES)
    told = register_as_csv(register_rows(register_lines(**_period(form)), names=names))
    return HttpResponse(
        told.encode(),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": 'attachment; filename="register.csv"'},
    )


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def bring_register_up_to_date(request: HttpRequest) -> HttpResponseBase:
    """Append what is on record and not in the register yet."""
    lines = write_register(by=person(request), at=timezone.now())
    told = f"{count(lines, 'line')} written." if lines else "Nothing was missing."
    messages.success(request, told)
    return redirect("staff:register")


def _given(query: Mapping[str, str]) -> dict[str, str]:
    return {name: query[name] for name in PeriodForm.base_fields if query.get(name)}


def _period(form: PeriodForm) -> dict[str, Any]:
    given = form.cleaned_data
    return {"from_on": given["from_on"], "until_on": given["until_on"]}


def _page_asked(request: HttpRequest) -> int:
    number = request.GET.get("page", "1")
    return max(int(number), 1) if number.isdecimal() and len(number) < 6 else 1
