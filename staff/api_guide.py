"""The API, described for a person; it asks for nothing but a sign-in."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from core.roles import Permission
from staff.api_documents import described, groups, kinds_of, resource_named
from staff.doors import opens_to

# Every role holds it.
ANYBODY = Permission.SEE_FINDINGS


@opens_to(ANYBODY)
@require_safe
def api_guide(request: HttpRequest) -> HttpResponse:
    """Show what the API is, and its resources by group."""
    about = described()["info"]["description"].split("\n\n")
    return render(request, "staff/api_guide.html", {"about": about, "groups": groups()})


@opens_to(ANYBODY)
@require_safe
def api_resource(request: HttpRequest, name: str) -> HttpResponse:
    """Show one resource: each operation, its parameters, bodies and examples."""
    resource = resource_named(name)
    if resource is None:
        raise Http404
    return render(
        request,
        "staff/api_resource.html",
        {"resource": resource, "kinds": kinds_of(resource)},
    )
