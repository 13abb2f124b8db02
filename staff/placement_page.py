"""One placement: its gates, its packets, and what can be done about it."""

from http import HTTPStatus
from typing import Any

from django import forms
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from core.models import User
from core.roles import Permission
from husbandry.models import Prescription
from placements.models import Application, Placement
from placements.queries.gates import gates_ahead, gates_of
from placements.queries.personal_data import local_day
from placements.rules.gates.facts import GateResult
from placements.rules.vocabulary import (
    STAYS_OURS,
    ApplicationState,
    PlacementKind,
    PlacementState,
)
from staff.doors import opens_to, person
from staff.placement_forms import (
    CallOffForm,
    ChangeForm,
    DiedForm,
    ExtendForm,
    HandOverForm,
    LastingForm,
    OpenGateForm,
    TreatmentForm,
)
from staff.placement_words import (
    CAUTIONS,
    KINDS,
    gate_row,
    in_order,
    not_asked,
    stands,
)

ASKS = (ApplicationState.ACCEPTED.value, ApplicationState.WAITING.value)


@opens_to(Permission.SEE_PLACEMENTS)
@require_safe
def placement_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one placement with every gate and what it says."""
    return show(request, row_of(pk))


def row_of(pk: int) -> Placement:
    """Return a placement with all that its page names."""
    rows = Placement.objects.select_related(
        *("animal__species", "home", "application__home", "home_enclosure"),
        *("created_by", "follows"),
    )
    return get_object_or_404(rows, pk=pk)


def show(
    request: HttpRequest,
    row: Placement,
    *,
    typed: dict[str, forms.Form] | None = None,
    status: int = HTTPStatus.OK,
) -> HttpResponse:
    """Draw the page, with what was typed and refused.

    Args:
        request: whose.
        row: as `row_of` returns it.
        typed: the form that was refused, by its name.
        status: of the answer.
    """
    reader = person(request)
    planned = row.state == PlacementState.PLANNED
    results = _gates(row)
    gates = [gate_row(result, planned=planned) for result in in_order(results)]
    given = {**_forms(row, reader), **(typed or {})}
    context: dict[str, Any] = {
        "row": row,
        "kind": KINDS[PlacementKind(row.kind)],
        "stands": stands(row),
        "gates": gates,
        "not_asked": not_asked(results),
        "shut": sum(gate.word == "shut" for gate in gates),
        "forms": given,
        "refused_gate": typed["open_gate"]["gate"].value()
        if typed and "open_gate" in typed
        else "",
        "packets": row.packets.defer("snapshot").order_by("version"),
        "handed": row.treatment_handovers.select_related("prescription__animal"),
        "addresses": row.private_addresses.order_by("-created_at")[:3],
        "names": reader.may(Permission.SEE_HOMES),
        "manages": reader.may(Permission.MANAGE_PLACEMENTS),
        "opens": reader.may(Permission.OPEN_GATES),
        "prescribes": reader.may(Permission.PRESCRIBE),
        "planned": planned,
        "off": row.state == PlacementState.CALLED_OFF,
        "cautions": CAUTIONS,
    }
    return render(request, "staff/placement.html", context, status=status)


def _gates(row: Placement) -> tuple[GateResult, ...]:
    """Return the gates ahead of a plan; of one that has left, as of that day."""
    if row.state == PlacementState.CALLED_OFF:
        return ()
    if row.state == PlacementState.PLANNED:
        today = local_day(timezone.now())
        return gates_ahead(placement_ids=[row.pk], today=today)[row.pk]
    on = row.handed_over_on or row.planned_on
    return gates_of(placement_ids=[row.pk], on=on)[row.pk]


def _forms(row: Placement, reader: User) -> dict[str, forms.Form]:
    """Return what can be done as it stands, for who may do it."""
    state = PlacementState(row.state)
    found: dict[str, forms.Form] = {}
    if state is PlacementState.PLANNED:
        found["open_gate"] = OpenGateForm()
        if reader.may(Permission.PRESCRIBE):
            found["treatment"] = treatment_form(row)
    if not reader.may(Permission.MANAGE_PLACEMENTS):
        return found
    if state is PlacementState.PLANNED:
        found |= {"hand_over": HandOverForm(), "call_off": CallOffForm()}
        found["change"] = change_form(row)
    if state is PlacementState.HANDED_OVER:
        found["died"] = DiedForm()
        if PlacementKind(row.kind) in STAYS_OURS:
            found |= {"extend": ExtendForm(), "lasting": LastingForm()}
    return found


def change_form(row: Placement, typed: Any = None) -> ChangeForm:
    """Return the form for what of a plan can change, as the plan says it now."""
    names = ("planned_on", "due_back_on", "application")
    form = ChangeForm(typed, initial={name: getattr(row, name) for name in names})
    if PlacementKind(row.kind) not in STAYS_OURS:
        del form.fields["due_back_on"]
    choice = form.fields["application"]
    assert isinstance(choice, forms.ModelChoiceField)  # noqa: S101 - declared so
    choice.queryset = Application.objects.filter(
        Q(state__in=ASKS) | Q(pk=row.application_id), home=row.home_id
    ).select_related("home", "animal", "species")
    return form


def treatment_form(row: Placement, typed: Any = None) -> TreatmentForm:
    """Return the form for treatments of this animal that are not stopped."""
    form = TreatmentForm(typed)
    choice = form.fields["prescription"]
    assert isinstance(choice, forms.ModelChoiceField)  # noqa: S101 - declared so
    choice.queryset = Prescription.objects.filter(
        animal=row.animal_id, stopped_at__isnull=True
    ).select_related("animal")
    return form
