"""Private addresses of homes: given by staff, shown once, withdrawn."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from core.errors import DomainError
from core.roles import Permission
from placements.actions.private_addresses import give_address, withdraw_address
from placements.models import Application, Placement, PrivateAddress
from placements.queries.private_addresses import home_behind
from staff.doors import opens_to, person
from staff.private_doors import without_trace


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def give_application_address(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Give a home an address of the page of its application."""
    row = get_object_or_404(Application.objects.select_related("home"), pk=pk)
    return _given(request, application=row)


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def give_placement_address(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Give a home an address of the page of its placement."""
    rows = Placement.objects.select_related("home", "animal")
    return _given(request, placement=get_object_or_404(rows, pk=pk))


@opens_to(Permission.MANAGE_PLACEMENTS)
@require_POST
def withdraw_private_address(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Make a private address useless, and go back to what it was about."""
    address = get_object_or_404(PrivateAddress, pk=pk)
    try:
        withdraw_address(address=address, by=person(request), at=timezone.now())
    except DomainError as error:
        messages.error(request, error.sentence)
    else:
        messages.success(request, f"The address {address} opens nothing any more.")
    return redirect(_page_of(address.application_id, address.placement_id))


def _given(
    request: HttpRequest,
    *,
    application: Application | None = None,
    placement: Placement | None = None,
) -> HttpResponseBase:
    back = _page_of(
        application.pk if application else None, placement.pk if placement else None
    )
    try:
        address, text = give_address(
            application=application,
            placement=placement,
            by=person(request),
            at=timezone.now(),
        )
    except DomainError as error:
        messages.error(request, error.sentence)
        return redirect(back)
    path = reverse("staff:private_home", args=[text])
    context = {
        "home": home_behind(address),
        "address": address,
        "url": request.build_absolute_uri(path),
        "back": back,
    }
    return without_trace(render(request, "staff/private_address.html", context))


def _page_of(application: int | None, placement: int | None) -> str:
    if application is not None:
        return reverse("staff:application", args=[application])
    return reverse("staff:placement", args=[placement])
