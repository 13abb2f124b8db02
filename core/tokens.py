"""Keys for scripts: shown once, kept as a digest, compared in constant time."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from core import audit
from core.errors import DomainError
from core.keys import end_key, new_key, note_use, row_of
from core.models import ApiToken, User
from core.roles import LETS_THROUGH, Permission, TokenScope, holds

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
    scope: TokenScope = TokenScope.READ,
    expires_at: datetime | None = None,
) -> IssuedToken:
    """Issue a token that lets a script act for a person.

    Args:
        user: for whom it acts: with that person's role, as far as the scope goes.
        name: what uses it, up to 80 characters.
        by: who issues it: that person, or one who manages people; None: the program.
        at: now.
        scope: how much of the role it lets through.
        expires_at: until when it can be used; None: until it is revoked.

    Returns:
        The row and the text `sb_<prefix>_<secret>`.

    Raises:
        TokenError: the name is blank or too long, it would have expired already, it
            is for somebody else, or it would do more or last longer than what the
            one who issues it has.

    Source:
        ADR 0018.
    """
    name = name.strip()
    _check_name(name)
    _check_end(expires_at, at)
    if by is not None:
        _check_within(user, scope, expires_at, by)
    key = new_key()
    token = ApiToken.objects.create(
        user=user,
        name=name,
        scope=scope.value,
        prefix=key.prefix,
        digest=key.digest,
        created_at=at,
        expires_at=expires_at,
    )
    after = audit.values(token, "user", "name", "scope", "prefix", "expires_at")
    if by is not None and by.token is not None:
        after["issued_through"] = by.token.prefix
    audit.record(token, verb="issue_token", by=by, at=at, after=after)
    return IssuedToken(token, f"{MARK}_{key.text}")


def verify_token(text: str, *, at: datetime) -> User | None:
    """Return for whom a token acts, and note that it was used.

    Args:
        text: as the script sent it.
        at: now; the use is noted at most once a minute.

    Returns:
        The person, whose `token` is this one, so that `may` heeds its scope; None
        where no such token is, its secret is another, it has expired or was
        revoked, or the person is no longer active. None says nothing of which.
    """
    mark, _, rest = text.partition("_")
    tokens = ApiToken.objects.select_related("user")
    token = row_of(rest, among=tokens if mark == MARK else tokens.none())
    if token is None or not _is_valid(token, at):
        return None
    note_use(token, at=at)
    token.user.token = token
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


def _check_name(name: str) -> None:
    longest = ApiToken._meta.get_field("name").max_length or 0  # noqa: SLF001 - public Meta API
    if not 0 < len(name) <= longest:
        raise TokenError(
            f"A token needs a name of 1 to {longest} characters: say what uses it.",
            fields={"name": f"1 to {longest} characters"},
        )


def _check_end(expires_at: datetime | None, at: datetime) -> None:
    if expires_at is not None and expires_at <= at:
        raise TokenError(
            f"The token would expire at {expires_at:%Y-%m-%d %H:%M %Z}, which is "
            "past. Give a later instant, or none.",
            fields={"expires_at": "later than now"},
        )


def _check_within(
    user: User, scope: TokenScope, expires_at: datetime | None, by: User
) -> None:
    """Refuse a token that reaches further than the one who issues it."""
    if user != by and not by.may(Permission.MANAGE_PEOPLE):
        raise TokenError(
            f"{by} issues tokens for {by} only; those for others need the permission "
            f"{Permission.MANAGE_PEOPLE}.",
            fields={"person": by.username},
        )
    own = by.token
    # Scope by scope as well: a role may grow, and an issued token grows with it.
    beyond = LETS_THROUGH[scope] - LETS_THROUGH[TokenScope(own.scope)] if own else set()
    more = {p for p in LETS_THROUGH[scope] if holds(user.role, p)} - by.permissions
    if more := more | beyond:
        raise TokenError(
            f"A token of {user} with the scope {scope} would do more than who issues "
            f"it may: {', '.join(sorted(more))}. Give a narrower scope.",
            fields={"scope": "one that does no more"},
        )
    if own is None or own.expires_at is None:
        return
    if expires_at is None or expires_at > own.expires_at:
        until = f"{own.expires_at:%Y-%m-%d %H:%M:%S %Z}"
        raise TokenError(
            f"This token expires at {until}, and what it issues lasts no longer. "
            "Give an end by then.",
            fields={"expires_at": f"{until} or earlier"},
        )
