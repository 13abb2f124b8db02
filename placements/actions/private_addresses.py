"""Private addresses of homes: given, shown once, used, withdrawn.

Whoever has one reads the page of one application or one placement without signing in,
and answers there; it opens nothing else.
"""

from datetime import datetime

from django.db import transaction

from core import audit
from core.errors import DomainError
from core.keys import end_key, new_key, note_use
from core.models import User
from placements.models import Application, Home, Placement, PrivateAddress
from placements.queries.private_addresses import home_of
from placements.rules.private_addresses import APPLICATION_LASTS, PLACEMENT_LASTS


class PrivateAddressError(DomainError):
    """A private address cannot be given or withdrawn as asked."""

    code = "private_address_refused"


@transaction.atomic
def give_address(
    *,
    application: Application | None = None,
    placement: Placement | None = None,
    by: User | None,
    at: datetime,
) -> tuple[PrivateAddress, str]:
    """Give a home an address of its own page; those before it open nothing any more.

    Args:
        application: whose page it is, or
        placement: to a home; exactly one of both.
        by: the person; None: the program, at an application by the public form.
        at: now.

    Returns:
        The row, and the secret part of the address, which is kept nowhere.

    Raises:
        PrivateAddressError: none or both are named, the placement is a release, or
            the home's data were erased.
    """
    home = _home_of(application, placement)
    if home.erased_at is not None:
        raise PrivateAddressError(
            "The data of this home were erased; there is nothing left to show it."
        )
    for older in PrivateAddress.objects.filter(
        application=application, placement=placement, revoked_at__isnull=True
    ):
        end_key(older, at=at)
    key = new_key()
    row = PrivateAddress.objects.create(
        application=application,
        placement=placement,
        prefix=key.prefix,
        digest=key.digest,
        created_at=at,
        created_by=by,
        expires_at=at + (APPLICATION_LASTS if application else PLACEMENT_LASTS),
    )
    after = audit.values(row, "application", "placement", "expires_at")
    audit.record(row, verb="give_address", by=by, at=at, after=after)
    return row, key.text


def _home_of(application: Application | None, placement: Placement | None) -> Home:
    if (application is None) == (placement is None):
        raise PrivateAddressError(
            "A private address belongs to one application or to one placement; name "
            "one of them."
        )
    home = application.home if application else placement.home if placement else None
    if home is None:
        raise PrivateAddressError(
            f"{placement} is a release to the wild; there is no home to write to."
        )
    home.refresh_from_db(fields=["erased_at"])
    return home


@transaction.atomic
def open_address(*, text: str, at: datetime) -> PrivateAddress | None:
    """Return the page that an address opens, and note that it was used.

    Writes no audit entry: it is the home that reads, about once a minute at most.

    Args:
        text: the secret part, as it was asked for.
        at: now.

    Returns:
        The row as `home_of` returns it.
    """
    row = home_of(text, at)
    if row is not None:
        note_use(row, at=at)
    return row


@transaction.atomic
def withdraw_address(*, address: PrivateAddress, by: User | None, at: datetime) -> None:
    """Make an address useless from now on; it stays on record.

    Args:
        address: the one to withdraw.
        by: the person.
        at: now.

    Raises:
        PrivateAddressError: it was withdrawn already.
    """
    if not end_key(address, at=at):
        raise PrivateAddressError(
            f"The private address {address} was withdrawn already."
        )
    after = audit.values(address, "revoked_at")
    audit.record(address, verb="withdraw_address", by=by, at=at, after=after)
