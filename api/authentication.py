"""Sign-in for scripts: `Authorization: Bearer sb_<prefix>_<secret>`."""

from django.utils import timezone
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.request import Request

from api.throttles import check_prefix, count_wrong
from core.models import ApiToken, User
from core.tokens import verify_token

SCHEME = b"bearer"


class TokenAuthentication(BaseAuthentication):
    """A token speaks for the person that it was issued for."""

    def authenticate(self, request: Request) -> tuple[User, ApiToken | None] | None:
        """Return who a token speaks for; None where none was sent.

        Raises:
            AuthenticationFailed: the token is not one, expired or revoked; the
                answer does not say which.
            TooManyError: too many wrong ones came from this address.
        """
        parts = get_authorization_header(request).split()
        if not parts or parts[0].lower() != SCHEME:
            return None
        text = _text(parts)
        check_prefix(request, text)
        user = verify_token(text, at=timezone.now()) if text else None
        if user is None:
            count_wrong(request, text)
            raise AuthenticationFailed(
                "This token is not valid (any more). Send `Authorization: Bearer "
                "sb_…` with a token as it was shown when it was issued."
            )
        return user, user.token

    def authenticate_header(self, request: Request) -> str:
        """Return what a 401 asks for."""
        return 'Bearer realm="spurbook"'


def _text(parts: list[bytes]) -> str:
    try:
        return parts[1].decode("ascii") if len(parts) == 2 else ""
    except UnicodeDecodeError:
        return ""
