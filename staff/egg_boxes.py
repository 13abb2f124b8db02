"""One box of eggs: a grid to tap, what to do with the chosen eggs, the box's water."""

from http import HTTPStatus
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from clutches.actions.box_checks import BoxCheckRow, record_box_checks
from clutches.models import EggBox
from clutches.queries.boxes import stays_of, zone_of
from clutches.queries.breeding import breeding_list
from clutches.queries.grids import Grid, box_grid
from clutches.queries.water import last_checks, water_of
from core.errors import DomainError
from core.roles import Permission
from husbandry.rules.vocabulary import RowOutcome
from staff.box_words import box_facts, grid_rows, legend, look_rows, stands
from staff.breeding import clutch_row, due_rows
from staff.doors import opens_to, person
from staff.egg_deeds import Undone, act, kept_undo, undo
from staff.egg_forms import EggsForm, LookForm, instant_of
from staff.units import units_of

SHOWN_LOOKS = 12


@opens_to(Permission.SEE_ANIMALS)
def egg_box(request: HttpRequest, code: str) -> HttpResponse:
    """Show a box from above, with what can be done."""
    return _page(request, _box(code))


@opens_to(Permission.RECORD_BREEDING)
@require_POST
def record_eggs(request: HttpRequest, code: str) -> HttpResponseBase:
    """Record what was seen at the chosen eggs, or what became of them."""
    box = _box(code)
    grid = box_grid(box=box, at=timezone.now())
    form = EggsForm(request.POST, box=box, keys=_keys(grid))
    if not form.is_valid():
        return _page(request, box, form=form, status=HTTPStatus.BAD_REQUEST)
    try:
        onward = act(request, box, form)
    except DomainError as error:
        form.add_error(None, ValidationError(error.sentence.split("\n")))
        return _page(request, box, form=form, status=HTTPStatus.CONFLICT)
    return redirect(onward)


@opens_to(Permission.RECORD_BREEDING)
@require_POST
def undo_eggs(request: HttpRequest, code: str) -> HttpResponseBase:
    """Take back what was recorded last in this box, by this person."""
    box = _box(code)
    try:
        undone = undo(request, box)
    except DomainError as error:
        messages.error(request, error.sentence)
    else:
        _tell(request, undone)
    return redirect("staff:egg_box", box.code)


def _tell(request: HttpRequest, undone: Undone | None) -> None:
    if undone is None:
        messages.error(request, "There is nothing to take back here any more.")
        return
    messages.success(request, f"Taken back: {undone.what}")
    for remark in undone.remarks:
        messages.warning(request, remark)


@opens_to(Permission.RECORD_BREEDING)
@require_POST
def look_into_box(request: HttpRequest, code: str) -> HttpResponseBase:
    """Record that somebody looked into a box, weighed it, watered it."""
    box = _box(code)
    reader, now = person(request), timezone.now()
    form = LookForm(request.POST, unit=units_of(reader).mass)
    if not form.is_valid():
        return _page(request, box, look=form, status=HTTPStatus.BAD_REQUEST)
    given = form.cleaned_data
    row = BoxCheckRow(
        box=box.code,
        at=instant_of(given["on"], now=now, zone=zone_of(box=box)),
        mass_g=given["mass_g"],
        water_g=given["water_g"],
        note=given["look_note"],
    )
    (result,) = record_box_checks(rows=[row], by=reader, recorded_at=now)
    if result.outcome is RowOutcome.REFUSED:
        form.add_error(None, ValidationError(result.sentence))
        return _page(request, box, look=form, status=HTTPStatus.CONFLICT)
    messages.success(request, f"Kept: a look into box {box.code}.")
    return redirect("staff:egg_box", box.code)


def _box(code: str) -> EggBox:
    return get_object_or_404(EggBox, code=code)


def _keys(grid: Grid) -> list[int]:
    return [cell.egg.id for row in grid.rows for cell in row if cell.egg]


def _page(
    request: HttpRequest,
    box: EggBox,
    *,
    form: EggsForm | None = None,
    look: LookForm | None = None,
    status: int = HTTPStatus.OK,
) -> HttpResponse:
    reader, now = person(request), timezone.now()
    units, zone = units_of(reader), zone_of(box=box)
    grid = box_grid(box=box, at=now)
    form = form or EggsForm(box=box, keys=_keys(grid))
    awaited = tuple(c for c in breeding_list(at=now) if c.code in grid.clutches)
    context: dict[str, Any] = {
        "box": box,
        "stands": stands(stays_of(box=box)),
        "grid": grid,
        "rows": grid_rows(grid, form.ticked),
        "legend": legend(grid),
        "clutches": [clutch_row(clutch) for clutch in awaited],
        "due": [row for row in due_rows(awaited) if row.box in {"", box.code}],
        "form": form,
        "look": look or LookForm(unit=units.mass),
        "facts": box_facts(box, water_of(box=box), zone, units),
        "looks": look_rows(last_checks(box=box, most=SHOWN_LOOKS), zone, units),
        "undo": kept_undo(request, box),
        "may_record": reader.may(Permission.RECORD_BREEDING) and not box.retired_on,
    }
    return render(request, "staff/egg_box.html", context, status=status)
