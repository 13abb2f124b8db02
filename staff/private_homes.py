"""A home's private page: where its application or its animal stands."""

from collections.abc import Mapping
from http import HTTPStatus

from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from placements.models import PrivateAddress
from placements.queries.private_addresses import home_behind, placements_behind
from staff.application_words import application_told, placement_told
from staff.private_doors import opens_by_address
from staff.private_parts import PARTS
from staff.public_pages import house


@opens_by_address
@require_safe
def private_home(request: HttpRequest, address: PrivateAddress) -> HttpResponse:
    """Show a home where it stands, in plain words."""
    return private_page(request, address)


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
        "application": application_told(application) if application else None,
        "placements": [placement_told(row) for row in placements_behind(address)],
        "parts": [part for part in made if part is not None],
        "kept": kept or {},
    }
    return render(request, "staff/private_home.html", context, status=status)
