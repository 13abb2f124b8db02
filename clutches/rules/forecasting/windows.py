"""The window in which a clutch is expected to hatch."""

from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil, floor
from typing import Any

from clutches.rules.vocabulary import ForecastBasis
from husbandry.rules.profiles.resolving import incubation_for
from husbandry.rules.profiles.values import IncubationRule, Profile
from husbandry.rules.profiles.vocabulary import IncubationMatter


@dataclass(frozen=True, slots=True)
class Window:
    """When the eggs of one clutch in one box are expected to hatch.

    Attributes:
        earliest_on, likely_on, latest_on: local days, in this order.
        coverage: share of clutches meant to hatch within the window, from first to
            last egg; None: nobody can say.
        development: share of development done, 0 to 1; None: not known.
        evidence: the numbers behind it, as plain JSON values.
    """

    basis: ForecastBasis
    earliest_on: date
    likely_on: date
    latest_on: date
    coverage: float | None
    development: float | None
    evidence: dict[str, Any]


@dataclass(frozen=True, slots=True)
class WindowDays:
    """A window in days since laying, before it becomes dates."""

    early: float
    likely: float
    late: float

    def whole(self) -> tuple[int, int, int]:
        """Return whole days: outwards at both ends, the middle to the nearest.

        Source:
            ADR 0013.
        """
        early = max(floor(self.early), 0)
        late = max(ceil(self.late), early)
        return early, min(max(round(self.likely), early), late), late


def hatch_rule(profile: Profile) -> IncubationRule | None:
    """Return the profile's row about how long eggs take; None without both ends."""
    rule = incubation_for(profile, IncubationMatter.HATCH_DAYS)
    if rule is None or rule.low is None or rule.high is None:
        return None
    return rule


def profile_days(rule: IncubationRule) -> WindowDays:
    """Return the window of a profile's row.

    Args:
        rule: with both ends, in days.
    """
    low, high = float(rule.low or 0), float(rule.high or 0)
    return WindowDays(low, (low + high) / 2, high)


def opened(
    days: WindowDays, *, laid_on: date, on: date, begun: bool
) -> tuple[date, date, date]:
    """Return a window's days, without those that have passed already.

    Args:
        days: since laying.
        laid_on: the day of laying.
        on: the local day at whose end nothing had hatched yet.
        begun: some of the clutch has pipped or hatched, so the window stays as it is.

    Returns:
        Earliest, likely and latest day. While the window is open and nothing has
        hatched, none of them is before the day after `on`; past its end it stays as
        it was, for then the eggs are overdue.

    Source:
        ADR 0013.
    """
    early, likely, late = (laid_on + timedelta(days=n) for n in days.whole())
    if begun or on >= late:
        return early, likely, late
    next_on = on + timedelta(days=1)
    return max(early, next_on), max(likely, next_on), late
