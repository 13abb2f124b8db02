"""Keys for scripts: shown once, kept as a digest, compared in constant time."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from core import audit
from core.errors import DomainError
from core.keys import end_key, new_key, note_use, row_of
from core.models import ApiToken, User

MARK = "sb"


class TokenError(DomainError):
    """A token cannot be issued or revoked as asked."""

    code = "token_refused"


@dataclass(frozen=True, slots=True)
class IssuedToken:
    """A new token; `text` is shown once and kept nowhere."""

    token: ApiToken
    text: str


@transaction.atomic
def issue_token(
    *,
    user: User,
    name: str,
    by: User | None,
    at: datetime,
    expires_at: datetime | None = None,
) -> IssuedToken:
    """Issue a token that lets a script act for a person.

    Args:
        user: for whom it acts, with that person's role.
        name: what uses it.
        by: who issues it.
        at: now.
        expires_at: until when it can be used; None: until it is revoked.

    Returns:
        The row and the text `sb_<prefix>_<secret>`.

    Raises:
        TokenError: the name is blank, or it would have expired already.
    """
    if not name.strip():
        raise TokenError(
            "A token needs a name: say what uses it.", fields={"name": "not blank"}
        )
    if expires_at is not None and expires_at <= at:
        raise TokenError(
            f"The token would expire at {expires_at:%Y-%m-%d %H:%M %Z}, which is "
            "past. Give a later instant, or none.",
            fields={"expires_at": "later than now"},
        )
    key = new_key()
    token = ApiToken.objects.create(
        user=user,
        name=name.strip(),
        prefix=key.prefix,
        digest=key.digest,
        created_at=at,
        expires_at=expires_at,
    )
    after = audit.values(token, "user", "name", "prefix", "expires_at")
    audit.record(token, verb="issue_token", by=by, at=at, after=after)
    return IssuedToken(token, f"{MARK}_{key.text}")


def verify_token(text: str, *, at: datetime) -> User | None:
    """Return for whom a token acts, and note that it was used.

    Args:
        text: as the script sent it.
        at: now; the use is noted at most once a minute.

    Returns:
        The person; None where no such token is, its secret is another, it has
        expired or was revoked, or the person is no longer active. None says
        nothing of which.
    """
    mark, _, rest = text.partition("_")
    tokens = ApiToken.objects.select_related("user")
    token = row_of(rest, among=tokens if mark == MARK else tokens.none())
    if token is None or not _is_valid(token, at):
        return None
    note_use(token, at=at)
    return token.user


@transaction.atomic
def revoke_token(*, token: ApiToken, by: User | None, at: datetime) -> None:
    """Make a token useless from now on; it stays on record.

    Args:
        token: the one to revoke.
        by: the person.
        at: now.

    Raises:
        TokenError: it was revoked already.
    """
    if not end_key(token, at=at):
        raise TokenError(f"The token {token} was revoked already.")
    after = audit.values(token, "revoked_at")
    audit.record(token, verb="revoke_token", by=by, at=at, after=after)


def _is_valid(token: ApiToken, at: datetime) -> bool:
    expired = token.expires_at is not None and token.expires_at <= at
    return not expired and token.revoked_at is None and token.user.is_active
