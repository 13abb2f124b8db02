"""A person's own addresses of the calendar: made, shown once, revoked."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import add_never_cache_headers
from django.views.decorators.http import require_POST

from core.calendars import issue_address, revoke_address
from core.errors import DomainError
from core.models import CalendarAddress
from core.roles import Permission
from staff.doors import opens_to, person


@opens_to(Permission.SEE_ANIMALS)
@require_POST
def new_calendar(request: HttpRequest) -> HttpResponseBase:
    """Issue an address and show it this once."""
    reader = person(request)
    try:
        issued = issue_address(
            user=reader,
            name=request.POST.get("name", ""),
            by=reader,
            at=timezone.now(),
        )
    except DomainError as error:
        messages.error(request, error.sentence)
        return redirect("staff:me")
    path = reverse("staff:calendar", args=[issued.text])
    context = {
        "address": issued.address,
        "url": request.build_absolute_uri(path),
    }
    answer: HttpResponse = render(request, "staff/calendar_address.html", context)
    add_never_cache_headers(answer)
    return answer


@opens_to(Permission.SEE_ANIMALS)
@require_POST
def revoke_calendar(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Make one of one's own addresses useless."""
    reader = person(request)
    address = get_object_or_404(CalendarAddress, pk=pk, user=reader)
    try:
        revoke_address(address=address, by=reader, at=timezone.now())
    except DomainError as error:
        messages.error(request, error.sentence)
    else:
        messages.success(request, f"The address for {address.name} is revoked.")
    return redirect("staff:me")
