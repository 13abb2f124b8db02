"""When a message is tried again, when it is given up, when a webhook is paused."""

from datetime import datetime, timedelta
from random import Random  # noqa: TID251 - its type only; whoever calls brings one

# House conventions (ADR 0022): quick at first, because most failures are a restart of
# the receiver; a day apart at last, so that a week-end without anybody is outlasted.
PAUSES = (
    timedelta(minutes=1),
    timedelta(minutes=5),
    timedelta(minutes=30),
    timedelta(hours=2),
    timedelta(hours=6),
    timedelta(hours=12),
    timedelta(hours=24),
)
MOST_TRIES = len(PAUSES) + 1
# Each pause is up to a fifth longer by chance, so that what failed together does not
# come back together.
JITTER = 0.2
# Longer than an attempt can take, a slow answer of the name server included.
LEASE = timedelta(minutes=5)
PAUSED_AFTER = timedelta(days=3)
KEPT_FOR = timedelta(days=90)
BOTH_SIGN_FOR = timedelta(hours=24)


def next_try(tries: int, *, at: datetime, rng: Random) -> datetime | None:
    """Return when a message that failed is tried again.

    Args:
        tries: how often it was begun since it was asked for, at least 1.
        at: when the last of them failed.
        rng: what lengthens the pause, by up to a fifth.

    Returns:
        The instant; None after the last try.

    Source:
        ADR 0022.
    """
    if tries >= MOST_TRIES:
        return None
    return at + PAUSES[tries - 1] * (1 + JITTER * rng.random())


def failing_too_long_since(at: datetime) -> datetime:
    """Return the instant: a webhook that fails since then or longer is paused.

    Source:
        ADR 0022.
    """
    return at - PAUSED_AFTER
