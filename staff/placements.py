"""Rescue: which placements wait for something, and where to go from here."""

from http import HTTPStatus
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from core.admin import DayField
from core.errors import DomainError
from core.roles import Permission
from husbandry.models import Animal
from husbandry.rules.vocabulary import AnimalStatus
from placements.actions.placements import plan_placement
from placements.models import Application, Home, HomeEnclosure, Placement
from placements.queries.personal_data import local_day
from placements.queries.standings import open_placements, standings
from placements.rules.vocabulary import PlacementKind
from staff.doors import opens_to, person
from staff.placement_page import ASKS
from staff.placement_words import CAUTIONS, KINDS, PlacementRow, placement_row

NEWEST = 25


class PlanForm(forms.Form):
    """Plan that an animal goes to a home."""

    animal = forms.ModelChoiceField(
        Animal.objects.filter(status=AnimalStatus.IN_CARE.value)
    )
    kind = forms.ChoiceField(
        label="In what way", choices=[(k.value, KINDS[k]) for k in PlacementKind]
    )
    home = forms.ModelChoiceField(
        Home.objects.filter(erased_at__isnull=True), required=False
    )
    application = forms.ModelChoiceField(
        Application.objects.filter(state__in=ASKS).select_related(
            "home", "animal", "species"
        ),
        required=False,
        help_text="Of that home, where one is asked for.",
    )
    home_enclosure = forms.ModelChoiceField(
        HomeEnclosure.objects.filter(home__erased_at__isnull=True).select_related(
            "home"
        ),
        required=False,
        label="Where it is to live",
    )
    planned_on = DayField(label="Meant to leave on")
    due_back_on = DayField(
        label="Due back on",
        required=False,
        help_text="Of a loan or foster stay.",
    )
    release_place = forms.CharField(
        max_length=200,
        required=False,
        help_text="Of a release to the wild, which has no home: native species from the "
        "wild only, by whom the law permits.",
    )


@opens_to(Permission.SEE_ANIMALS)
@require_safe
def placements(request: HttpRequest) -> HttpResponse:
    """Lead to what of rescue the reader may see, and show what waits for somebody."""
    return _page(request)


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def plan(request: HttpRequest) -> HttpResponseBase:
    """Plan a placement."""
    form = PlanForm(request.POST)
    if not form.is_valid():
        return _page(request, form=form, status=HTTPStatus.BAD_REQUEST)
    given = form.cleaned_data
    try:
        row = plan_placement(
            animal=given["animal"],
            home=given["home"],
            kind=PlacementKind(given["kind"]),
            planned_on=given["planned_on"],
            due_back_on=given["due_back_on"],
            release_place=given["release_place"],
            application=given["application"],
            home_enclosure=given["home_enclosure"],
            by=person(request),
            at=timezone.now(),
        )
    except DomainError as error:
        for field, told in (error.fields or {"": error.sentence}).items():
            form.add_error(field if field in form.fields else None, told)
        if error.fields:
            form.add_error(None, error.sentence)
        return _page(request, form=form, status=HTTPStatus.CONFLICT)
    return redirect("staff:placement", row.pk)


def _page(
    request: HttpRequest,
    *,
    form: PlanForm | None = None,
    status: int = HTTPStatus.OK,
) -> HttpResponse:
    reader = person(request)
    names = reader.may(Permission.SEE_HOMES)
    manages = reader.may(Permission.MANAGE_PLACEMENTS)
    sees = reader.may(Permission.SEE_PLACEMENTS)
    gone = Placement.objects.filter(handed_over_on__isnull=False)
    gone = gone.select_related("animal", "home").order_by("-handed_over_on", "-pk")
    context: dict[str, Any] = {
        "sees": sees,
        "rows": _rows(names=names) if sees else (),
        "gone": gone[:NEWEST] if sees else (),
        "names": names,
        "form": (form or PlanForm()) if manages else None,
        "asked": form is not None,
        "cautions": CAUTIONS,
        "takes_in": reader.may(Permission.RECORD_INTAKE),
        "sees_register": reader.may(Permission.SEE_REGISTER),
    }
    return render(request, "staff/placements.html", context, status=status)


def _rows(*, names: bool) -> list[PlacementRow]:
    waiting = open_placements()
    found = standings(waiting, today=local_day(timezone.now()))
    known = {row.pk: row for row in waiting.select_related("animal", "home")}
    return [
        placement_row(
            one,
            label=str(known[one.placement].animal),
            home=_home(known[one.placement]) if names else "",
        )
        for one in found
        if one.placement in known
    ]


def _home(row: Placement) -> str:
    return str(row.home) if row.home else row.release_place
