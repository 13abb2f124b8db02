"""Keys that are shown once: a random secret of which only the digest is kept.

Compared in constant time, whether or not the prefix is known.
"""

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256
from typing import TypeVar

from django.db.models import Q, QuerySet

from core.models import Key

PREFIX_BYTES = 4
SECRET_BYTES = 32
# Written at most so often: who asks each second must not write each second.
LAST_USED_STEP = timedelta(minutes=1)
_NOBODY = sha256(b"").hexdigest()

K = TypeVar("K", bound=Key)


@dataclass(frozen=True, slots=True)
class NewKey:
    """A key just made: by what it is found, its secret, and what is kept of that."""

    prefix: str
    secret: str
    digest: str

    @property
    def text(self) -> str:
        """Return the key as its owner is given it: `<prefix>_<secret>`."""
        return f"{self.prefix}_{self.secret}"


def new_key() -> NewKey:
    """Return a fresh key with 32 random bytes of secret."""
    prefix = secrets.token_hex(PREFIX_BYTES)
    secret = secrets.token_urlsafe(SECRET_BYTES)
    return NewKey(prefix, secret, _digest(secret))


def row_of(text: str, *, among: QuerySet[K]) -> K | None:
    """Return the row that a key belongs to; whether it still holds is not asked.

    Args:
        text: `<prefix>_<secret>` as somebody sent it; anything else is no key.
        among: rows of one kind of key.

    Returns:
        The row, or None where no such key is or its secret is another. None says
        nothing of which.
    """
    prefix, _, secret = text.partition("_")
    # What is no prefix is not asked for: a database may trip on it.
    row = among.filter(prefix=prefix).first() if _is_prefix(prefix) else None
    # Compared in any case, so that the time taken does not tell a known prefix.
    same = secrets.compare_digest(_digest(secret), row.digest if row else _NOBODY)
    return row if row is not None and same and secret else None


def note_use(row: Key, *, at: datetime) -> None:
    """Note that a key was used, at most once a minute."""
    if row.last_used_at is not None and row.last_used_at > at - LAST_USED_STEP:
        return
    # Asked again of the database: another process may have noted it meanwhile.
    not_lately = Q(last_used_at__isnull=True) | Q(last_used_at__lte=at - LAST_USED_STEP)
    rows = type(row)._default_manager  # noqa: SLF001 - public API of Django
    rows.filter(not_lately, pk=row.pk).update(last_used_at=at)


def end_key(row: Key, *, at: datetime) -> bool:
    """Mark a key as revoked; False where it was so before."""
    rows = type(row)._default_manager  # noqa: SLF001 - public API of Django
    still_good = rows.filter(pk=row.pk, revoked_at__isnull=True)
    if not still_good.update(revoked_at=at):
        return False
    row.revoked_at = at
    return True


def _digest(secret: str) -> str:
    return sha256(secret.encode(errors="surrogatepass")).hexdigest()


def _is_prefix(text: str) -> bool:
    return len(text) == 2 * PREFIX_BYTES and text.isascii() and text.isalnum()
