"""The days that care is asked about, as instants, and which records belong to them."""

from bisect import bisect_right
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet

from husbandry.models import Animal

# Reaches over any calendar month before the first day, and over the longest interval.
LOOK_BACK_DAYS = 62
# Chores are many, and none is asked about for longer.
CHORES_BACK_DAYS = 7

# A subquery of keys: a site may have more animals than SQLite takes parameters.
Ids = QuerySet[Animal, Any]


@dataclass(frozen=True)
class CareSpan:
    """Local days of a site: those asked about, and those records are gathered from.

    Attributes:
        from_on: first day asked about.
        until_on: last day asked about; what was done after it is not known.
    """

    zone: ZoneInfo
    from_on: date
    until_on: date

    @property
    def since_on(self) -> date:
        """Return the first day from which records are gathered."""
        return self.from_on - timedelta(LOOK_BACK_DAYS)

    @cached_property
    def since_at(self) -> datetime:
        """Return the instant at which records begin."""
        return self.start_of(self.since_on)

    @cached_property
    def end_at(self) -> datetime:
        """Return the instant at which the last day is over."""
        return self.start_of(self.until_on + timedelta(1))

    def start_of(self, on: date) -> datetime:
        """Return the instant at which a local day begins, in UTC."""
        return datetime.combine(on, time.min, tzinfo=self.zone).astimezone(UTC)

    @cached_property
    def _midnights(self) -> list[datetime]:
        days = (self.until_on - self.since_on).days + 1
        return [self.start_of(self.since_on + timedelta(n)) for n in range(days + 1)]

    @cached_property
    def _days(self) -> list[date]:
        return [self.since_on + timedelta(n) for n in range(len(self._midnights))]

    def day_of(self, at: datetime) -> date:
        """Return the local day of an instant; fast within the days gathered."""
        place = bisect_right(self._midnights, at)
        if 0 < place < len(self._midnights):
            return self._days[place - 1]
        return at.astimezone(self.zone).date()

    def known(self) -> Q:
        """Return which care records count: not struck out, and done by the last day."""
        return Q(struck_at__isnull=True, at__lt=self.end_at)

    def gathered(self) -> Q:
        """Return which of them are gathered: from the first day on."""
        return self.known() & Q(at__gte=self.since_at)
