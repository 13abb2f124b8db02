"""Secret addresses of the calendar feed: shown once, revocable, one or more a person.

Whoever has such an address reads the feed without signing in, so it opens nothing
else, and closes when its person leaves or loses sight of the animals.
"""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from core import audit
from core.errors import DomainError
from core.keys import end_key, new_key, note_use, row_of
from core.models import CalendarAddress, User
from core.roles import Permission


class CalendarAddressError(DomainError):
    """An address cannot be issued or revoked as asked."""

    code = "calendar_address_refused"


@dataclass(frozen=True, slots=True)
class IssuedAddress:
    """A new address; `text` is its secret part, shown once and kept nowhere."""

    address: CalendarAddress
    text: str


@transaction.atomic
def issue_address(
    *, user: User, name: str, by: User | None, at: datetime
) -> IssuedAddress:
    """Issue an address by which a calendar program reads the feed for a person.

    Args:
        user: for whom; the feed holds what that person may see.
        name: what reads it.
        by: who issues it.
        at: now.

    Returns:
        The row and the secret part of the address, `<prefix>_<secret>`.

    Raises:
        CalendarAddressError: the name is blank or too long, or the person may not
            see animals.
    """
    name = name.strip()
    longest = CalendarAddress._meta.get_field("name").max_length  # noqa: SLF001 - public Meta API
    if not name or len(name) > (longest or 0):
        raise CalendarAddressError(
            f"A calendar address needs a name of 1 to {longest} characters: say what "
            "reads it, such as “my phone”.",
            fields={"name": f"1 to {longest} characters"},
        )
    if not user.may(Permission.SEE_ANIMALS):
        raise CalendarAddressError(
            f"{user} may not see animals, and the calendar is about them."
        )
    key = new_key()
    address = CalendarAddress.objects.create(
        user=user, name=name, prefix=key.prefix, digest=key.digest, created_at=at
    )
    after = audit.values(address, "user", "name", "prefix")
    audit.record(address, verb="issue_address", by=by, at=at, after=after)
    return IssuedAddress(address, key.text)


def verify_address(text: str, *, at: datetime) -> User | None:
    """Return for whom an address reads the feed, and note that it was used.

    Args:
        text: the secret part, as it was asked for.
        at: now; the use is noted at most once a minute.

    Returns:
        The person; None where no such address is, its secret is another, it was
        revoked, or the person is no longer active or may not see animals. None
        says nothing of which.
    """
    address = row_of(text, among=CalendarAddress.objects.select_related("user"))
    if address is None or address.revoked_at is not None:
        return None
    if not address.user.may(Permission.SEE_ANIMALS):
        return None
    note_use(address, at=at)
    return address.user


@transaction.atomic
def revoke_address(*, address: CalendarAddress, by: User | None, at: datetime) -> None:
    """Make an address useless from now on; it stays on record.

    Args:
        address: the one to revoke.
        by: the person.
        at: now.

    Raises:
        CalendarAddressError: it was revoked already.
    """
    if not end_key(address, at=at):
        raise CalendarAddressError(
            f"The calendar address {address} was revoked already."
        )
    after = audit.values(address, "revoked_at")
    audit.record(address, verb="revoke_address", by=by, at=at, after=after)
