"""How long a private address opens its page."""

from datetime import datetime, timedelta

# Conventions of the project. An application is decided within weeks. The last planned
# question to a home comes twelve months after an animal left, and is answered late.
APPLICATION_LASTS = timedelta(days=180)
PLACEMENT_LASTS = timedelta(days=730)


def holds(*, expires_at: datetime, revoked_at: datetime | None, at: datetime) -> bool:
    """Say whether an address opens its page at an instant.

    Args:
        expires_at: from this instant on it does not.
        revoked_at: when somebody withdrew it; None: nobody did.
        at: the instant.
    """
    return revoked_at is None and at < expires_at
