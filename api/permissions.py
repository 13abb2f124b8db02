"""Who may call what: declared by each view for each action, refused otherwise."""

from enum import StrEnum
from typing import TYPE_CHECKING

from rest_framework.permissions import BasePermission

from core.models import User
from core.roles import Permission

if TYPE_CHECKING:
    # DRF loads this module while it is loading its views.
    from collections.abc import Mapping

    from rest_framework.request import Request
    from rest_framework.views import APIView


class Everybody(StrEnum):
    """What needs no permission of its own."""

    SIGNED_IN = "signed_in"


Needed = Permission | Everybody
SIGNED_IN = Everybody.SIGNED_IN
NO_ACTION = (None, "metadata")
"""What the framework calls methods that a view does not have; the second, OPTIONS."""


class DeclaredPermission(BasePermission):
    """Let through who holds the permission that the view declares for the action."""

    def has_permission(self, request: "Request", view: "APIView") -> bool:
        """Say whether a request goes on; what is not declared does not."""
        user = request.user
        if not isinstance(user, User):
            return False
        action = getattr(view, "action", None)
        if action in NO_ACTION:
            return True  # no such method here: the view answers 405
        declared: Mapping[str, Needed] = getattr(view, "permissions", {})
        needed = declared.get(action)
        if needed is None:
            self.message = "Nobody has said who may do this; so nobody may."
            return False
        if isinstance(needed, Everybody):
            return user.is_active
        self.message = (
            f"This needs the permission {needed}, which the role {user.role} does not "
            "have."
        )
        return user.may(needed)
