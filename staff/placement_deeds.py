"""What people do about one placement: a form, one action, and back to its page."""

from collections.abc import Callable
from http import HTTPStatus
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from core.errors import DomainError
from core.roles import Permission
from placements.actions.endings import mark_died_there
from placements.actions.gates import hand_over_treatment, open_gate, shut_gate
from placements.actions.handing_over import hand_over
from placements.actions.packets import make_packet
from placements.actions.placements import (
    PlanChanges,
    call_off,
    change_plan,
    extend_stay,
    plan_lasting,
)
from placements.models import Placement
from placements.rules.gates.opening import GateError
from placements.rules.vocabulary import Gate, PlacementKind
from staff.doors import opens_to, person
from staff.placement_forms import (
    CallOffForm,
    DiedForm,
    ExtendForm,
    HandOverForm,
    LastingForm,
    OpenGateForm,
    ShutGateForm,
)
from staff.placement_page import change_form, row_of, show, treatment_form
from staff.refusals import refuse

Given = dict[str, Any]


def _taken(
    request: HttpRequest,
    row: Placement,
    name: str,
    form: forms.Form,
    take: Callable[[Given], str],
) -> HttpResponseBase:
    """Call the action of a form and go back; what is refused is shown beside it."""
    if not form.is_valid():
        return show(request, row, typed={name: form}, status=HTTPStatus.BAD_REQUEST)
    try:
        told = take(form.cleaned_data)
    except DomainError as error:
        refuse(form, error)
        fresh = row_of(row.pk)
        return show(request, fresh, typed={name: form}, status=HTTPStatus.CONFLICT)
    messages.success(request, told)
    return redirect("staff:placement", row.pk)


def _gate(word: str) -> Gate:
    if word not in set(Gate):
        raise GateError(
            f"There is no gate {word!r}. There are: {', '.join(Gate)}.",
            fields={"gate": ", ".join(Gate)},
        )
    return Gate(word)


@opens_to(Permission.OPEN_GATES)
@require_POST
def open_placement_gate(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Open a shut gate with a reason."""
    row = row_of(pk)

    def take(given: Given) -> str:
        open_gate(
            placement=row,
            gate=_gate(given["gate"]),
            reason=given["reason"],
            by=person(request),
            at=timezone.now(),
        )
        return "The gate is opened. Make a new packet: it has to say so."

    return _taken(request, row, "open_gate", OpenGateForm(request.POST), take)


@opens_to(Permission.OPEN_GATES)
@require_POST
def shut_placement_gate(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Shut a gate again that somebody opened."""
    row = row_of(pk)

    def take(given: Given) -> str:
        shut_gate(
            placement=row,
            gate=_gate(given["gate"]),
            by=person(request),
            at=timezone.now(),
        )
        return "The gate is judged by itself again."

    return _taken(request, row, "shut_gate", ShutGateForm(request.POST), take)


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def hand_over_placement(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Hand the animal over."""
    row = row_of(pk)

    def take(given: Given) -> str:
        hand_over(placement=row, on=given["on"], by=person(request), at=timezone.now())
        return f"{row.animal} is handed over."

    return _taken(request, row, "hand_over", HandOverForm(request.POST), take)


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def change_placement(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Change the days of a plan, or the application behind it."""
    row = row_of(pk)

    def take(given: Given) -> str:
        changes = PlanChanges(
            planned_on=given["planned_on"], application=given["application"]
        )
        if "due_back_on" in given:
            changes["due_back_on"] = given["due_back_on"]
        change_plan(placement=row, by=person(request), at=timezone.now(), **changes)
        return "The plan is changed. Tell the home, if it does not know yet."

    return _taken(request, row, "change", change_form(row, request.POST), take)


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def call_off_placement(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Call the plan off; the animal stays."""
    row = row_of(pk)

    def take(given: Given) -> str:
        call_off(
            placement=row,
            reason=given["reason"],
            by=person(request),
            at=timezone.now(),
        )
        return "The plan is called off; the animal stays."

    return _taken(request, row, "call_off", CallOffForm(request.POST), take)


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def note_death_there(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Note that the animal died in its home."""
    row = row_of(pk)

    def take(given: Given) -> str:
        mark_died_there(
            placement=row,
            on=given["on"],
            reason=given["reason"],
            by=person(request),
            at=timezone.now(),
        )
        return "It is noted. We are sorry."

    return _taken(request, row, "died", DiedForm(request.POST), take)


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def extend_placement(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Agree on another day of return."""
    row = row_of(pk)

    def take(given: Given) -> str:
        extend_stay(
            placement=row,
            due_back_on=given["due_back_on"],
            by=person(request),
            at=timezone.now(),
        )
        return "It is due back on another day."

    return _taken(request, row, "extend", ExtendForm(request.POST), take)


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def plan_lasting_placement(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Plan that a loan or foster stay becomes lasting."""
    row = row_of(pk)
    form = LastingForm(request.POST)

    def take(given: Given) -> str:
        plan_lasting(
            placement=row,
            kind=PlacementKind(given["kind"]),
            planned_on=given["planned_on"],
            by=person(request),
            at=timezone.now(),
        )
        return "It is planned, with gates and a packet of its own; the animal stays."

    return _taken(request, row, "lasting", form, take)


@opens_to(Permission.PRESCRIBE)
@require_POST
def hand_over_placement_treatment(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Say, as a vet, how a treatment goes on."""
    row = row_of(pk)

    def take(given: Given) -> str:
        hand_over_treatment(
            placement=row,
            prescription=given["prescription"],
            plan=given["plan"],
            by=person(request),
            at=timezone.now(),
        )
        return "It goes into the packet how the treatment goes on."

    return _taken(request, row, "treatment", treatment_form(row, request.POST), take)


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def make_placement_packet(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Make the packet that goes along, or a new version of it."""
    row = row_of(pk)
    try:
        packet = make_packet(placement=row, by=person(request), at=timezone.now())
    except DomainError as error:
        messages.error(request, error.sentence)
    else:
        messages.success(request, f"Packet {packet.number}: print it, it goes along.")
    return redirect("staff:placement", row.pk)
