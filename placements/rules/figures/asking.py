"""Which period figures can be asked of."""

from datetime import date

from core.errors import DomainError
from placements.rules.figures.facts import Period

FIRST_DAY = date(1970, 1, 1)
MOST_DAYS = 3660
"""Some more than ten years."""
USUAL_DAYS = 365


class PeriodError(DomainError):
    """Figures cannot be asked of a period."""

    code = "period_refused"


def period_asked(from_on: date | None, until_on: date | None, *, on: date) -> Period:
    """Return the period that is asked for; without days, the last 365.

    Args:
        from_on: first day; None: 364 days before the last one.
        until_on: last day; None: today.
        on: today.

    Raises:
        PeriodError: it ends after today, before it begins, or is longer than 3660 days.

    Source:
        figure-conventions.
    """
    last_on = until_on or on
    first_on = from_on or _days_before(last_on)
    if last_on > on:
        raise PeriodError(
            f"{last_on} has not come yet; figures end today.",
            fields={"until_on": f"until {on}"},
        )
    if first_on > last_on:
        raise PeriodError(
            f"A period from {first_on} cannot end on {last_on}, before that.",
            fields={"until_on": f"{first_on} or later"},
        )
    if first_on < FIRST_DAY:
        raise PeriodError(
            f"{first_on} is too far off.", fields={"from_on": f"{FIRST_DAY} or later"}
        )
    period = Period(first_on, last_on)
    if period.days > MOST_DAYS:
        raise PeriodError(
            f"{period.days} days are too many at once; ask for at most {MOST_DAYS}.",
            fields={"from_on": f"at most {MOST_DAYS} days before the last one"},
        )
    return period


def _days_before(last_on: date) -> date:
    return date.fromordinal(max(last_on.toordinal() - USUAL_DAYS + 1, 1))
