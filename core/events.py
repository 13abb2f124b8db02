"""What stands in a calendar; each room makes its own, one door writes them all."""

from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True, slots=True)
class AllDay:
    """From one local day to another, both included."""

    from_on: date
    until_on: date


@dataclass(frozen=True, slots=True)
class Timed:
    """From one instant to another; both know their zone."""

    from_at: datetime
    until_at: datetime


@dataclass(frozen=True, slots=True)
class Event:
    """One entry of a calendar.

    Attributes:
        key: the same whenever the entry is made again, and no other entry's: lower
            letters, digits, `-`.
        summary: one line.
        description: lines of text; "" where the summary says all.
        location: where; "" where that is no one place.
    """

    key: str
    when: AllDay | Timed
    summary: str
    description: str = ""
    location: str = ""
