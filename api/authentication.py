"""Sign-in for scripts: `Authorization: Bearer sb_<prefix>_<secret>`."""

from django.utils import timezone
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.request import Request

from core.models import User
from core.tokens import verify_token

SCHEME = b"bearer"


class TokenAuthentication(BaseAuthentication):
    """A token speaks for the person that it was issued for."""

    def authenticate(self, request: Request) -> tuple[User, str] | None:
        """Return who a token speaks for; None where none was sent.

        Raises:
            AuthenticationFailed: the token is not one, expired or revoked; the
                answer does not say which.
        """
        parts = get_authorization_header(request).split()
        if not parts or parts[0].lower() != SCHEME:
            return None
        try:
            text = parts[1].decode("ascii") if len(parts) == 2 else ""
        except UnicodeDecodeError:
            text = ""
        user = verify_token(text, at=timezone.now()) if text else None
        if user is None:
            raise AuthenticationFailed(
                "This token is not valid (any more). Send `Authorization: Bearer "
                "sb_…` with a token as `manage.py issue_token` printed it."
            )
        return user, "token"

    def authenticate_header(self, request: Request) -> str:
        """Return what a 401 asks for."""
        return 'Bearer realm="spurbook"'
