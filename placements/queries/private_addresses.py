"""Which page a private address opens."""

from datetime import datetime

from core.keys import row_of
from placements.models import Home, Placement, PrivateAddress
from placements.rules.private_addresses import holds

_SUBJECTS = (
    *("application__home", "application__species", "application__animal__species"),
    *("placement__home", "placement__animal__species"),
)


def home_of(text: str, at: datetime) -> PrivateAddress | None:
    """Return the address that opens a page, with what its page is about.

    Args:
        text: the secret part, as it was asked for; anything else opens nothing.
        at: now.

    Returns:
        The row; None where no such address is, its secret is another, it was
        withdrawn, its time is over, or the home's data were erased. None says nothing
        of which.
    """
    row = row_of(text, among=PrivateAddress.objects.select_related(*_SUBJECTS))
    if row is None or home_behind(row).erased_at is not None:
        return None
    good = holds(expires_at=row.expires_at, revoked_at=row.revoked_at, at=at)
    return row if good else None


def home_behind(row: PrivateAddress) -> Home:
    """Return whose page an address opens.

    Raises:
        ValueError: it is of neither an application nor a home's placement, which the
            database does not hold.
    """
    if row.application is not None:
        return row.application.home
    if row.placement is not None and row.placement.home is not None:
        return row.placement.home
    raise ValueError(f"the private address {row} belongs to no home")


def placements_behind(row: PrivateAddress) -> tuple[Placement, ...]:
    """Return the placements that a page is about, the first planned first.

    Args:
        row: of a placement: that one; of an application: all that followed from it.
    """
    if row.placement is not None:
        return (row.placement,)
    rows = Placement.objects.filter(application=row.application)
    rows = rows.select_related("home", "animal__species")
    return tuple(rows.order_by("planned_on", "pk"))
