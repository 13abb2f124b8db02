"""One application: what was answered, what was looked into, what is decided."""

from collections.abc import Callable
from http import HTTPStatus
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from core.errors import DomainError
from core.roles import Permission
from placements.actions.applications import decide, record_check
from placements.models import Application
from placements.queries.applications import applications, standing_of
from placements.queries.personal_data import local_day
from placements.rules.applications.advice import salmonella_advice, somebody_at_risk
from placements.rules.applications.answers import in_words
from placements.rules.applications.moves import OPEN
from placements.rules.homes import LONGEST_NOTES
from placements.rules.vocabulary import (
    APPLICATION_MOVES,
    ApplicationState,
    CheckKind,
    CheckOutcome,
)
from staff.applications import wish
from staff.doors import opens_to, person

# Placed is set by handing an animal over, never by hand.
BY_HAND = {
    ApplicationState.CHECKING: "Look into it",
    ApplicationState.ACCEPTED: "Accept it",
    ApplicationState.WAITING: "Put it on the waiting list",
    ApplicationState.DECLINED: "Decline it",
    ApplicationState.WITHDRAWN: "It was withdrawn",
}


class CheckForm(forms.Form):
    """How something came out that was looked into."""

    kind = forms.ChoiceField(
        label="What was looked into",
        choices=[(kind.value, kind.value.replace("_", " ")) for kind in CheckKind],
    )
    outcome = forms.ChoiceField(
        label="How it came out",
        choices=[(one.value, one.value.replace("_", " ")) for one in CheckOutcome],
        initial=CheckOutcome.PASSED.value,
    )
    note = forms.CharField(
        label="Note",
        required=False,
        max_length=LONGEST_NOTES,
        widget=forms.Textarea({"rows": 2}),
    )


class DecideForm(forms.Form):
    """Where an application goes on, and what the home reads."""

    to = forms.ChoiceField(label="Decision")
    told = forms.CharField(
        label="What the home reads on its page (needed to decline)",
        required=False,
        max_length=LONGEST_NOTES,
        widget=forms.Textarea({"rows": 3}),
    )

    def __init__(self, *args: Any, state: ApplicationState, **kwargs: Any) -> None:
        """Offer where an application can go from where it stands."""
        super().__init__(*args, **kwargs)
        choices = [
            (to.value, BY_HAND[to]) for to in APPLICATION_MOVES[state] if to in BY_HAND
        ]
        self.fields["to"].widget = forms.Select(choices=choices)
        self.fields["to"].choices = choices  # type: ignore[attr-defined] # of a ChoiceField


@opens_to(Permission.SEE_HOMES)
@require_safe
def application_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one application with all that was answered and looked into."""
    return _page(request, _row(pk))


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def check_application(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Record how something came out that was looked into."""
    row, form = _row(pk), CheckForm(request.POST)

    def take(given: dict[str, Any]) -> None:
        record_check(
            application=row,
            kind=CheckKind(given["kind"]),
            outcome=CheckOutcome(given["outcome"]),
            note=given["note"],
            by=person(request),
            at=timezone.now(),
        )
        messages.success(request, "The check is recorded.")

    return _taken(request, row, "check", form, take)


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def decide_application(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Accept, put on the waiting list, decline, or note that it was withdrawn."""
    row = _row(pk)
    form = DecideForm(request.POST, state=ApplicationState(row.state))

    def take(given: dict[str, Any]) -> None:
        now = timezone.now()
        to = ApplicationState(given["to"])
        decide(
            application=row,
            to=to,
            on=local_day(now),
            told=given["told"],
            by=person(request),
            at=now,
        )
        messages.success(request, f"The application is {to.value}.")

    return _taken(request, row, "decision", form, take)


def _taken(
    request: HttpRequest,
    row: Application,
    name: str,
    form: forms.Form,
    take: Callable[[dict[str, Any]], None],
) -> HttpResponseBase:
    """Call the action of a form and go back; what is refused is shown beside it."""
    if not form.is_valid():
        return _page(request, row, **{name: form}, status=HTTPStatus.BAD_REQUEST)
    try:
        take(form.cleaned_data)
    except DomainError as error:
        for field, told in (error.fields or {"": error.sentence}).items():
            form.add_error(field if field in form.fields else None, told)
        fresh = _row(row.pk)
        return _page(request, fresh, **{name: form}, status=HTTPStatus.CONFLICT)
    return redirect("staff:application", row.pk)


def _row(pk: int) -> Application:
    return get_object_or_404(applications(), pk=pk)


def _page(
    request: HttpRequest,
    row: Application,
    *,
    check: forms.Form | None = None,
    decision: forms.Form | None = None,
    status: int = HTTPStatus.OK,
) -> HttpResponse:
    state = ApplicationState(row.state)
    may = person(request).may(Permission.MANAGE_PLACEMENTS)
    at_risk = somebody_at_risk(row.answers)
    context = {
        "application": row,
        "wish": wish(row),
        "answers": in_words(row.question_set, row.answers),
        "advice": salmonella_advice(row.answers) if at_risk else (),
        "standing": [
            (kind.value.replace("_", " "), outcome.value.replace("_", " "))
            for kind, outcome in standing_of(row).items()
        ],
        "checks": row.checks.select_related("recorded_by").order_by("-recorded_at"),
        "addresses": row.private_addresses.order_by("-created_at")[:3],
        "placements": row.placements.select_related("animal").order_by("pk"),
        "may": may and row.home.erased_at is None,
        "check": (check or CheckForm()) if state in OPEN else None,
        "decision": (decision or DecideForm(state=state))
        if set(APPLICATION_MOVES[state]) & set(BY_HAND)
        else None,
    }
    return render(request, "staff/application.html", context, status=status)
