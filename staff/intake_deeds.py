"""What is done about an animal that came: looked over, photographed, let go, settled."""

from collections.abc import Callable
from http import HTTPStatus
from zoneinfo import ZoneInfo

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from core.errors import DomainError
from core.photographs import LARGEST_BYTES, check_bytes
from core.roles import Permission
from placements.actions.exams import ExamRow, record_exam
from placements.actions.holds import lift_hold, set_hold
from placements.actions.intake_photos import add_intake_photo
from placements.actions.species import settle_species
from placements.models import Arrival, Intake
from placements.queries.arrivals import intakes
from staff.doors import opens_to, person
from staff.exam_forms import ExamForm, HoldForm, LiftForm, PhotoForm, SettleForm
from staff.intakes import arrival_page, intake_page, warnings_of
from staff.refusals import refuse


@opens_to(Permission.RECORD_INTAKE)
@require_POST
def record_look_over(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Record a look over an animal, with the warning signs that were seen."""
    row = get_object_or_404(intakes(), pk=pk)
    form = ExamForm(request.POST, warnings=warnings_of(row))

    def do() -> None:
        now, given = timezone.now(), form.cleaned_data
        record_exam(
            row=ExamRow(
                animal=row.animal,
                at=now,
                examined_by=given["examined_by"],
                parts=form.parts(),
                note=given["note"],
                intake=row,
                signs=tuple(given["signs"]),
            ),
            by=person(request),
            recorded_at=now,
        )

    return _done(request, row, "exam", form, do, "The look over is on record.")


@opens_to(Permission.RECORD_INTAKE)
@require_POST
def photograph_intake(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Keep a photograph of an animal as it came."""
    row = get_object_or_404(intakes(), pk=pk)
    form = PhotoForm(request.POST, request.FILES)

    def do() -> None:
        file = form.cleaned_data["photo"]
        check_bytes(file.size or 0)
        add_intake_photo(
            intake=row,
            data=file.read(LARGEST_BYTES),
            caption=form.cleaned_data["caption"],
            by=person(request),
            at=timezone.now(),
        )

    return _done(request, row, "photo", form, do, "The photograph is kept.")


@opens_to(Permission.OPEN_GATES)
@require_POST
def lift_intake_hold(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Let an animal go from today on, before its hold is over."""
    row, form = get_object_or_404(intakes(), pk=pk), LiftForm(request.POST)

    def do() -> None:
        now = timezone.now()
        lift_hold(
            intake=row,
            on=timezone.localdate(now, ZoneInfo(row.arrival.site.time_zone)),
            reason=form.cleaned_data["reason"],
            by=person(request),
            at=now,
        )

    return _done(request, row, "lift", form, do, "The hold is lifted.")


@opens_to(Permission.RECORD_INTAKE)
@require_POST
def settle_intake_species(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Say what an animal is that came without anybody knowing."""
    row, form = get_object_or_404(intakes(), pk=pk), SettleForm(request.POST)

    def do() -> None:
        settle_species(
            intake=row,
            species=form.cleaned_data["species"],
            by=person(request),
            at=timezone.now(),
            reason=form.cleaned_data["reason"],
        )

    return _done(request, row, "settle", form, do, "The species is settled.")


@opens_to(Permission.OPEN_GATES)
@require_POST
def hold_arrival(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Hold the animals of a delivery until another day."""
    row, form = get_object_or_404(Arrival, pk=pk), HoldForm(request.POST)
    if not form.is_valid():
        return arrival_page(request, pk, form=form, status=HTTPStatus.BAD_REQUEST)
    try:
        set_hold(
            arrival=row, **form.cleaned_data, by=person(request), at=timezone.now()
        )
    except DomainError as error:
        form.add_error(None, ValidationError(error.sentence))
        return arrival_page(request, pk, form=form, status=HTTPStatus.CONFLICT)
    messages.success(request, "The hold is on record.")
    return redirect("staff:arrival", pk)


def _done(
    request: HttpRequest,
    row: Intake,
    name: str,
    form: forms.Form,
    do: Callable[[], None],
    told: str,
) -> HttpResponseBase:
    """Do what was typed, or show it again with what is wrong beside it."""
    typed = {name: form}
    if not form.is_valid():
        return intake_page(request, row, typed=typed, status=HTTPStatus.BAD_REQUEST)
    try:
        do()
    except DomainError as error:
        refuse(form, error)
        return intake_page(request, row, typed=typed, status=HTTPStatus.CONFLICT)
    messages.success(request, told)
    return redirect("staff:intake", row.pk)
