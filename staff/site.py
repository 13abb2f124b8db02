"""The admin site: back office of the same house, open to those a role lets in."""

from typing import Any

from django.contrib.admin import AdminSite
from django.contrib.auth import REDIRECT_FIELD_NAME
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from core.roles import Role
from staff.clock import clock_told

# Every role looks something up there; each list declares who may see and change it.
ROLES = frozenset(Role)


class StaffSite(AdminSite):
    """The back office, under our own name and behind our own sign-in."""

    site_header = "Spurbook back office"
    site_title = "Spurbook"
    index_title = "Everything on record"
    enable_nav_sidebar = False

    def has_permission(self, request: HttpRequest) -> bool:
        """Let in active people with a role."""
        user = request.user
        return user.is_authenticated and user.is_active and user.role in ROLES

    def each_context(self, request: HttpRequest) -> dict[str, Any]:
        """Add what the foot of every page says."""
        return {**super().each_context(request), "clock_told": clock_told()}

    def login(
        self, request: HttpRequest, extra_context: dict[str, Any] | None = None
    ) -> HttpResponse:
        """Send people to the one sign-in page, which slows down guessing."""
        index = reverse("admin:index")
        wanted = request.GET.get(REDIRECT_FIELD_NAME, index)
        if self.has_permission(request):
            return redirect(index)
        if request.user.is_authenticated:
            raise PermissionDenied
        return redirect_to_login(wanted)

    # The stubs promise a page here; a redirect is what Django itself ends with.
    def password_change(  # type: ignore[override]
        self, request: HttpRequest, extra_context: dict[str, Any] | None = None
    ) -> HttpResponse:
        """Send people to their own page, which leaves a trace of the change."""
        return redirect("staff:password")
