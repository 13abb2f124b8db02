"""One animal's weighings in force, in order, cut by local days."""

from bisect import bisect_left
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from functools import lru_cache
from typing import Any
from zoneinfo import ZoneInfo

DAY_S = 86_400


@lru_cache(maxsize=4096)
def day_begins_at(on: date, zone: ZoneInfo) -> datetime:
    """Return the instant at which a local day begins, in UTC.

    Where clocks jump over midnight the day begins with the jump.
    """
    return datetime.combine(on, time.min, tzinfo=zone).astimezone(UTC)


@dataclass(frozen=True, slots=True)
class WeightSeries:
    """Instants and masses of one animal's weighings in force, oldest first.

    Local days are worked out only where one is asked for: of thousands of animals
    with dozens of weighings each, most instants are merely compared.
    """

    zone: ZoneInfo
    at: tuple[datetime, ...]
    mass_g: tuple[Decimal, ...]

    def __len__(self) -> int:
        """Return how many weighings there are."""
        return len(self.at)

    def on(self, place: int) -> date:
        """Return the local day of the weighing at a place."""
        return self.at[place].astimezone(self.zone).date()

    def first_from(self, on: date) -> int:
        """Return the place of the first weighing on a local day or after it."""
        return bisect_left(self.at, day_begins_at(on, self.zone))

    def last_days(self, days: int) -> "WeightSeries":
        """Return the weighings of so many days up to the last one, both included."""
        if not self.at:
            return self
        return self.after(self.first_from(self.on(-1) - timedelta(days=days)))

    def after(self, place: int) -> "WeightSeries":
        """Return the weighings from a place on."""
        if not place:
            return self
        return WeightSeries(self.zone, self.at[place:], self.mass_g[place:])

    def days_between(self, first: int, last: int) -> float:
        """Return how many days, of 24 hours, lie between two weighings."""
        return (self.at[last] - self.at[first]).total_seconds() / DAY_S

    def from_to(self, first: int, last: int) -> dict[str, Any]:
        """Return two weighings and the local days between them, as evidence."""
        from_on, to_on = self.on(first), self.on(last)
        return {
            "from_g": str(self.mass_g[first]),
            "from_on": from_on.isoformat(),
            "to_g": str(self.mass_g[last]),
            "to_on": to_on.isoformat(),
            "days": (to_on - from_on).days,
        }
