"""What comes after: whom to ask, what homes told, and what somebody has looked at."""

from dataclasses import dataclass
from http import HTTPStatus
from typing import Any

from django.contrib import messages
from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from core.errors import DomainError
from core.roles import Permission
from placements.actions.follow_ups import answer_follow_up, drop_follow_up
from placements.actions.home_reports import report_from_home, see_report
from placements.models import FollowUp, HomeReport, Placement
from placements.queries.follow_ups import open_follow_ups, unseen_reports
from placements.rules.home_reports import CAUTION
from placements.rules.vocabulary import FollowUpKind
from staff.after_forms import AnswersForm, DropForm, ReportForm
from staff.after_words import follow_up_told, report_told
from staff.doors import opens_to, person
from staff.home_enclosures import system_of
from staff.units import units_of


@dataclass(frozen=True, slots=True)
class Refused:
    """A form that was refused, and which row it is about; 0: the report."""

    about: int
    form: BaseForm


@opens_to(Permission.SEE_HOMES)
def after_all(request: HttpRequest) -> HttpResponse:
    """Show whom to ask and what nobody has looked at, of all animals that left."""
    today, units = timezone.localdate(), units_of(person(request))
    context = {
        "follow_ups": [follow_up_told(row, today) for row in open_follow_ups()],
        "reports": [report_told(row, units) for row in unseen_reports()],
        "caution": CAUTION,
    }
    return render(request, "staff/after_all.html", context)


@opens_to(Permission.SEE_HOMES)
def after(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what was asked and told of one animal since it left."""
    return _page(request, _placement(pk))


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def answer_for_home(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Write down what a home answered, such as by telephone."""
    row = _follow_up(pk)
    form = AnswersForm(
        request.POST, kind=FollowUpKind(row.kind), auto_id=f"id_a{pk}_%s"
    )
    if form.is_valid():
        try:
            answer_follow_up(
                follow_up=row,
                answers=form.cleaned_data,
                by=person(request),
                at=timezone.now(),
            )
        except DomainError as error:
            form.refuse(error)
        else:
            messages.success(request, "Kept: what the home answered.")
            return redirect("staff:after", row.placement_id)
    return _page(request, row.placement, answers=Refused(pk, form))


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def drop_asking(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Ask a home no more."""
    row = _follow_up(pk)
    form = DropForm(request.POST, auto_id=f"id_d{pk}_%s")
    if form.is_valid():
        try:
            drop_follow_up(
                follow_up=row,
                reason=form.cleaned_data["reason"],
                by=person(request),
                at=timezone.now(),
            )
        except DomainError as error:
            form.refuse(error)
        else:
            messages.success(request, "Nobody asks any more.")
            return redirect("staff:after", row.placement_id)
    return _page(request, row.placement, drop=Refused(pk, form))


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def report_for_home(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Write down what a home told by itself, such as by telephone."""
    placement = _placement(pk)
    form = ReportForm(request.POST, system=system_of(person(request)))
    if form.is_valid():
        try:
            report_from_home(
                placement=placement,
                **form.told(),
                by=person(request),
                at=timezone.now(),
            )
        except DomainError as error:
            form.refuse(error)
        else:
            messages.success(request, "Kept: what the home told.")
            return redirect("staff:after", pk)
    return _page(request, placement, report=form)


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def seen_report(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Say that somebody has looked at a report."""
    row = get_object_or_404(HomeReport, pk=pk)
    see_report(report=row, by=person(request), at=timezone.now())
    messages.success(request, "You have looked at it.")
    return redirect("staff:after", row.placement_id)


def _placement(pk: int) -> Placement:
    rows = Placement.objects.select_related("animal__species", "home")
    return get_object_or_404(rows, pk=pk)


def _follow_up(pk: int) -> FollowUp:
    rows = FollowUp.objects.select_related(
        "placement__animal__species", "placement__home"
    )
    return get_object_or_404(rows, pk=pk)


def _page(
    request: HttpRequest,
    placement: Placement,
    *,
    answers: Refused | None = None,
    drop: Refused | None = None,
    report: BaseForm | None = None,
) -> HttpResponse:
    reader, today = person(request), timezone.localdate()
    follow_ups = placement.follow_ups.select_related("placement__animal", "recorded_by")
    reports = placement.reports.select_related("placement__animal", "seen_by")
    context: dict[str, Any] = {
        "placement": placement,
        "follow_ups": [
            {
                "told": follow_up_told(row, today),
                "answers": answers.form
                if answers and answers.about == row.pk
                else AnswersForm(
                    kind=FollowUpKind(row.kind), auto_id=f"id_a{row.pk}_%s"
                ),
                "drop": drop.form
                if drop and drop.about == row.pk
                else DropForm(auto_id=f"id_d{row.pk}_%s"),
            }
            for row in follow_ups
        ],
        "reports": [
            report_told(row, units_of(reader)) for row in reports.order_by("-on", "-pk")
        ],
        "report": report or ReportForm(system=system_of(reader), initial={"on": today}),
        "refused": report is not None,
        "caution": CAUTION,
        "may_write": reader.may(Permission.MANAGE_PLACEMENTS),
    }
    refused = answers or drop or report
    status = HTTPStatus.BAD_REQUEST if refused else HTTPStatus.OK
    return render(request, "staff/after.html", context, status=status)
