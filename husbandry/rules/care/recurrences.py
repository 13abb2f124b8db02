"""Recurring days by RFC 5545, and the same fast for many animals at once."""

from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from itertools import accumulate

from dateutil.rrule import rrulestr

# A rhythm repeats itself: whatever its first day, it is looked up from here.
# In UTC, where every day is as long as the next.
_EPOCH = datetime(2000, 1, 1, tzinfo=UTC)
_PHASES_KEPT = 4096


def recurring(
    rule: str, *, first_at: datetime, from_at: datetime, until_at: datetime
) -> tuple[datetime, ...]:
    """Return the instants of a recurrence that lie in a span.

    Args:
        rule: an RFC 5545 recurrence, such as FREQ=DAILY;INTERVAL=5. An UNTIL is
            given in UTC, with a Z at its end.
        first_at: when it begins, with its time zone, whose clock it keeps.
        from_at: start of the span.
        until_at: its end, which belongs to it; before the start, nothing is found.

    Returns:
        In order.

    Raises:
        ValueError: no such rule.

    Source:
        rfc-5545
    """
    found = rrulestr(rule, dtstart=first_at).between(from_at, until_at, inc=True)
    return tuple(found)


def days_by_turns(
    steps: tuple[int, ...], *, anchor_on: date, from_on: date, until_on: date
) -> tuple[date, ...]:
    """Return the days that follow on one another by steps that take turns.

    Args:
        steps: days from one to the next, each at least 1: (2, 3) gives the days 0,
            2, 5, 7, 10 and so on after the anchor.
        anchor_on: the first day.
        from_on: first day of the range.
        until_on: its last day; before the first, nothing is found.

    Returns:
        In order; none before the anchor.

    Raises:
        ValueError: no steps, or one shorter than a day.

    Source:
        rfc-5545
    """
    if not steps or min(steps) < 1:
        raise ValueError(f"Steps {steps} do not lead on; give 1 day or more for each.")
    first_on = max(from_on, anchor_on)
    phase = (first_on - anchor_on).days % sum(steps)
    offsets = _offsets(steps, phase, (until_on - first_on).days)
    return tuple([first_on + timedelta(offset) for offset in offsets])


@lru_cache(maxsize=_PHASES_KEPT)
def _offsets(steps: tuple[int, ...], phase: int, days: int) -> tuple[int, ...]:
    """Return which days of a stretch recur, counted from its first day.

    Animals of one rhythm differ only in where they are in it, so that thousands
    of them share a few answers.
    """
    first_at = _EPOCH + timedelta(phase)
    rule = f"FREQ=DAILY;INTERVAL={sum(steps)}"
    found = (
        at
        for begun in accumulate(steps[:-1], initial=0)
        for at in recurring(
            rule,
            first_at=_EPOCH + timedelta(begun),
            from_at=first_at,
            until_at=first_at + timedelta(days),
        )
    )
    return tuple(sorted((at - first_at).days for at in found))
