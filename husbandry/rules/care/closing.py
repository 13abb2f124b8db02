"""Which day on record closes a care task."""

from bisect import bisect_right
from collections.abc import Sequence
from datetime import date, timedelta


def closed_on(
    done: Sequence[date], *, due_on: date, early_days: int, before_on: date
) -> date | None:
    """Return on which day a task was done, or None: it is open.

    Args:
        done: local days on which the thing was done, in order.
        due_on: the day it fell due.
        early_days: on so many days up to the due day, the due day one of them, it
            counts for this task: 1 is the due day alone.
        before_on: the day on which the next one falls due; done late counts up to
            the day before.

    Source:
        care-task-convention
    """
    later = bisect_right(done, due_on)
    if later and (due_on - done[later - 1]).days < early_days:
        return done[later - 1]
    if later < len(done) and done[later] < before_on:
        return done[later]
    return None


def early_days(
    due_on: date,
    previous_on: date | None,
    next_on: date | None,
    *,
    least_days: int,
    most_days: int,
) -> int:
    """Return on how many days up to its due day a deed counts for a task.

    It counts where to do it again on the due day would stray further from the
    interval, and come too soon, than to leave it until the next due day would, and
    come too late. So one every fortnight counts for the due day that is nearer.

    Args:
        due_on: the day it falls due.
        previous_on: the day on which the one before fell due; None: none is near.
            What was done for that one does not count twice, even where the interval
            has just grown longer.
        next_on: the day on which the next one falls due; None: none is near.
        least_days: the least interval.
        most_days: the longest.

    Returns:
        1, the due day alone, or more.

    Source:
        care-task-convention
    """
    step = most_days if next_on is None else (next_on - due_on).days
    days = min(least_days, (least_days + most_days - step) // 2 + 1)
    if previous_on is not None:
        days = min(days, (due_on - previous_on).days)
    return max(days, 1)


def late_until(due_on: date, next_on: date | None, *, longest_days: int) -> date:
    """Return the day before which a late deed still counts for a task.

    Args:
        due_on: the day it fell due.
        next_on: the day on which the next one falls due; None: none is near.
        longest_days: the longest interval of the animal; later than that, nothing
            counts, however far away the next one is.
    """
    furthest_on = due_on + timedelta(longest_days + 1)
    return furthest_on if next_on is None else min(next_on, furthest_on)
