"""Who is in quarantine, what is missing, and the word that lets an animal out."""

from http import HTTPStatus

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from core.errors import DomainError
from core.roles import Permission
from husbandry.models import Quarantine
from husbandry.rules.round_cautions import KEPT_APART, SALMONELLA
from placements.actions.quarantine import clear
from placements.queries.quarantine import states_today
from placements.rules.quarantine.telling import DAYS_ALONE
from staff.doors import opens_to, person
from staff.quarantine_words import ClearForm, rows_of
from staff.refusals import refuse
from staff.units import units_of


@opens_to(Permission.SEE_ANIMALS)
def quarantine(request: HttpRequest) -> HttpResponse:
    """Show every animal in quarantine with each criterion and its evidence."""
    return _page(request)


@opens_to(Permission.END_QUARANTINE)
@require_POST
def clear_quarantine(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Let an animal out of quarantine."""
    held = get_object_or_404(Quarantine.objects.select_related("animal"), pk=pk)
    form = ClearForm(request.POST, auto_id=f"id_{pk}_%s")
    if not form.is_valid():
        return _page(request, typed={pk: form}, status=HTTPStatus.BAD_REQUEST)
    given = form.cleaned_data
    try:
        clear(
            quarantine=held,
            on=given["on"],
            despite=given["despite"],
            by=person(request),
            at=timezone.now(),
        )
    except DomainError as error:
        _refuse(request, form, error, still_open=held.ended_on is None)
        return _page(request, typed={pk: form}, status=HTTPStatus.CONFLICT)
    messages.success(
        request,
        f"{held.animal} is out of quarantine. It still lives where it was: move it, so "
        "that those who are in quarantine there stay apart.",
    )
    return redirect("staff:quarantine")


def _refuse(
    request: HttpRequest, form: ClearForm, error: DomainError, *, still_open: bool
) -> None:
    """Say why beside the field; of one that is out already there is no form."""
    if not still_open:
        messages.error(request, error.sentence)
        return
    refuse(form, error)


def _page(
    request: HttpRequest,
    *,
    typed: dict[int, ClearForm] | None = None,
    status: int = HTTPStatus.OK,
) -> HttpResponse:
    reader = person(request)
    rows = rows_of(
        states_today(at=timezone.now()),
        units=units_of(reader),
        may_clear=reader.may(Permission.END_QUARANTINE),
        typed=typed or {},
    )
    context = {
        "rows": rows,
        "ready": sum(row.ready for row in rows),
        "cautions": (KEPT_APART, SALMONELLA),
        "days_alone": DAYS_ALONE,
        "may_begin": reader.may(Permission.RECORD_INTAKE),
        "may_decide": reader.may(Permission.SET_POLICIES),
    }
    return render(request, "staff/quarantine.html", context, status=status)
