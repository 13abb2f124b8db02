"""How many animals are in an organisation's charge, day by day."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import accumulate

from placements.rules.figures.facts import ONE_DAY, Charge, Period


@dataclass(frozen=True, slots=True)
class CensusDay:
    """Animals in charge on one day: those here, and those away on a stay or a loan."""

    on: date
    here: int
    away: int

    @property
    def charges(self) -> int:
        """Return how many are in charge, here or away."""
        return self.here + self.away


def census(
    charges: Iterable[Charge], *, period: Period, on: date
) -> tuple[CensusDay, ...]:
    """Count the animals in charge on each day of a period.

    The day on which an animal came counts, that on which it left does not; one that
    came and left on the same day counts that day. So the sum over the days is the
    number of animal-days.

    Args:
        charges: set right.
        period: not beyond today.
        on: today.

    Source:
        length-of-stay.
    """
    charges = list(charges)
    all_days = _counted([(c.began_on, c.until(on)) for c in charges], period)
    away = _counted([span for c in charges for span in _away(c, on)], period)
    return tuple(
        CensusDay(period.first_on + timedelta(days=i), total - gone, gone)
        for i, (total, gone) in enumerate(zip(all_days, away, strict=True))
    )


def overlap_days(first_on: date, until_on: date, period: Period) -> int:
    """Return how many days of a period lie from a day on until before another."""
    first = max(first_on, period.first_on)
    until = min(until_on, period.last_on + ONE_DAY)
    return max((until - first).days, 0)


def animal_days(charges: Iterable[Charge], *, period: Period, on: date) -> int:
    """Return the days that animals were in charge within a period, added up.

    Args:
        charges: set right.
        period: not beyond today.
        on: today.

    Source:
        length-of-stay.
    """
    return sum(overlap_days(c.began_on, c.until(on), period) for c in charges)


def _away(charge: Charge, on: date) -> list[tuple[date, date]]:
    end = charge.until(on)
    return [(s.first_on, min(s.until_on or end, end)) for s in charge.away]


def _counted(spans: Sequence[tuple[date, date]], period: Period) -> list[int]:
    """Return how many spans hold each day, by what begins and ends on it."""
    changes = [0] * (period.days + 1)
    for first_on, until_on in spans:
        if overlap_days(first_on, until_on, period):
            begins = max((first_on - period.first_on).days, 0)
            ends = min((until_on - period.first_on).days, period.days)
            changes[begins] += 1
            changes[ends] -= 1
    return list(accumulate(changes))[:-1]
