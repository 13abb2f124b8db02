"""A home's private page: where its application or its animal stands."""

from collections.abc import Mapping
from contextlib import suppress
from http import HTTPStatus

from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from placements.actions.applications import decide
from placements.models import Application, PrivateAddress
from placements.queries.personal_data import local_day
from placements.queries.private_addresses import home_behind, placements_behind
from placements.rules.applications.advice import salmonella_advice
from placements.rules.applications.moves import OPEN, ApplicationStateError
from placements.rules.vocabulary import ApplicationState
from staff.application_words import application_told, placement_told
from staff.private_doors import opens_by_address
from staff.private_parts import PARTS
from staff.public_pages import house


@opens_by_address
@require_safe
def private_home(request: HttpRequest, address: PrivateAddress) -> HttpResponse:
    """Show a home where it stands, in plain words."""
    return private_page(request, address)


@opens_by_address
@require_POST
def withdraw_application(
    request: HttpRequest, address: PrivateAddress
) -> HttpResponseBase:
    """Take back an application, as its home asks; where it is over, nothing changes."""
    now = timezone.now()
    if address.application is not None:
        # Where it is over already, the page says how.
        with suppress(ApplicationStateError):
            decide(
                application=address.application,
                to=ApplicationState.WITHDRAWN,
                on=local_day(now),
                by=None,
                at=now,
            )
    return redirect("staff:private_home", secret_of(request))


def secret_of(request: HttpRequest) -> str:
    """Return the secret part of the address that a page was opened by."""
    match = request.resolver_match
    return str(match.kwargs["address"]) if match else ""


def private_page(
    request: HttpRequest,
    address: PrivateAddress,
    *,
    kept: Mapping[str, BaseForm] | None = None,
    status: int = HTTPStatus.OK,
) -> HttpResponse:
    """Return a home's private page with all its parts.

    Args:
        request: behind `opens_by_address`.
        address: the row that it called the view with.
        kept: forms that were refused, with what was typed, by the names by which
            the parts' templates look for them.
        status: 400 where a form was refused.
    """
    application = address.application
    made = (part(address, request) for part in PARTS)
    context = {
        "house": house(),
        "home": home_behind(address),
        "address": address,
        "secret": secret_of(request),
        "application": application_told(application) if application else None,
        "advice": salmonella_advice(application.answers) if application else (),
        "may_withdraw": _is_open(application),
        "placements": [placement_told(row) for row in placements_behind(address)],
        "parts": [part for part in made if part is not None],
        "kept": kept or {},
    }
    return render(request, "staff/private_home.html", context, status=status)


def _is_open(application: Application | None) -> bool:
    return application is not None and ApplicationState(application.state) in OPEN
