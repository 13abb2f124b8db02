"""Who may open a page: each declares the one permission that it asks for."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseBase
from django.utils.cache import patch_cache_control

from core.models import User
from core.roles import Permission

View = Callable[..., HttpResponseBase]


@dataclass(frozen=True)
class Door:
    """A page with the permission it asks for; None: it is open to everybody.

    `csrf_exempt`, as Django calls it, is for pages that a secret in their address
    opens: who can send a browser there knows the secret, and needs no browser.
    """

    view: View
    permission: Permission | None
    csrf_exempt: bool = False

    def __call__(
        self, request: HttpRequest, *args: Any, **kwargs: Any
    ) -> HttpResponseBase:
        """Let in whoever may see the page; ask others to sign in, or refuse."""
        if self.permission is not None:
            if not request.user.is_authenticated:
                return redirect_to_login(request.get_full_path())
            if not request.user.may(self.permission):
                raise PermissionDenied(self.permission.value.replace("_", " "))
        answer = self.view(request, *args, **kwargs)
        if self.permission is not None and "Cache-Control" not in answer.headers:
            # Tablets are shared: after signing out, back shows nobody's page.
            patch_cache_control(answer, private=True, no_cache=True)
        return answer


def opens_to(permission: Permission) -> Callable[[View], Door]:
    """Declare which permission a page asks for."""

    def declare(view: View) -> Door:
        return Door(view, permission)

    return declare


def open_to_everybody(view: View) -> Door:
    """Declare that a page needs no sign-in."""
    return Door(view, None)


def person(request: HttpRequest) -> User:
    """Return who is signed in, behind a door that asks for it.

    Raises:
        PermissionDenied: nobody is.
    """
    if not request.user.is_authenticated:
        raise PermissionDenied("Sign in first.")
    return request.user
