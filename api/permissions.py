"""Who may call what: declared by each view for each action, refused otherwise."""

from enum import StrEnum
from typing import TYPE_CHECKING

from rest_framework.permissions import SAFE_METHODS, BasePermission

from core.models import User
from core.roles import Permission, TokenScope, holds

if TYPE_CHECKING:
    # DRF loads this module while it is loading its views.
    from collections.abc import Collection, Mapping

    from rest_framework.request import Request
    from rest_framework.views import APIView


class Everybody(StrEnum):
    """What needs no permission of its own."""

    SIGNED_IN = "signed_in"
    EVERYBODY = "everybody"
    """Also who is not signed in: whatever watches the service."""


Needed = Permission | Everybody
SIGNED_IN, EVERYBODY = Everybody
NO_ACTION = (None, "metadata")
"""What the framework calls methods that a view does not have; the second, OPTIONS."""


class DeclaredPermission(BasePermission):
    """Let through who holds the permission that the view declares for the action."""

    def has_permission(self, request: "Request", view: "APIView") -> bool:
        """Say whether a request goes on; what is not declared does not."""
        user, action = request.user, getattr(view, "action", None)
        declared: Mapping[str, Needed] = getattr(view, "permissions", {})
        needed = declared.get(action) if action else None
        if needed is EVERYBODY:
            return True
        if not isinstance(user, User):
            return False
        if action in NO_ACTION:
            return True  # no such method here: the view answers 405
        if needed is None:
            self.message = "Nobody has said who may do this; so nobody may."
            return False
        refused = _out_of_scope(request, view, user) or _not_held(user, needed)
        if refused:
            self.message = refused
        return not refused


def _out_of_scope(request: "Request", view: "APIView", user: User) -> str:
    """Say what a token is not for; its permissions are `User.may`'s matter."""
    token = user.token
    if token is None:
        return ""
    action, declared = getattr(view, "action", None), getattr(view, "permissions", {})
    for_devices: Collection[str | None] = getattr(view, "for_devices", ())
    if token.scope == TokenScope.INGEST and action not in for_devices:
        return "A device's token posts readings of its probes and does nothing else."
    changes = request.method not in SAFE_METHODS
    # What asks for no permission is about one's own: tokens, addresses, units.
    own = isinstance(declared.get(action), Everybody)
    if changes and own and token.scope != TokenScope.MANAGE:
        return f"This needs a token with the scope {TokenScope.MANAGE}, or a browser."
    return ""


def _not_held(user: User, needed: Needed) -> str:
    if isinstance(needed, Everybody):
        return "" if user.is_active else "This person is no longer active."
    if user.may(needed):
        return ""
    if user.token is not None and holds(user.role, needed):
        return (
            f"This needs the permission {needed}, which a token with the scope "
            f"{user.token.scope} does not let through."
        )
    return (
        f"This needs the permission {needed}, which the role {user.role} does not have."
    )
