"""What figures are counted from: times in an organisation's charge, set right."""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from placements.rules.vocabulary import (
    IntakeCondition,
    PlacementKind,
    RegisterHow,
)

ONE_DAY = timedelta(days=1)


class LeftOutWhy(StrEnum):
    """Why figures leave a record out."""

    NEGATIVE = "negative"
    TO_COME = "to_come"
    REPEATED = "repeated"
    OPEN = "open"
    OVERLAPPING = "overlapping"
    NO_TIME_IN_CARE = "no_time_in_care"


class StayStage(StrEnum):
    """Where an animal in an organisation's charge is on its way."""

    QUARANTINE = "quarantine"
    READY = "ready"
    PLANNED = "planned"
    AWAY = "away"


@dataclass(frozen=True, slots=True)
class DaySpan:
    """Some days: from the first on, the last excluded; None: they have not ended."""

    first_on: date
    until_on: date | None


@dataclass(frozen=True, slots=True)
class Period:
    """The days that figures are about, both ends included."""

    first_on: date
    last_on: date

    @property
    def days(self) -> int:
        """Return how many days it has."""
        return (self.last_on - self.first_on).days + 1

    def holds(self, on: date | None) -> bool:
        """Say whether a day lies in it."""
        return on is not None and self.first_on <= on <= self.last_on


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A record that no figure counts, and why.

    Attributes:
        code: of the animal.
        first_on, last_on: its days as recorded; None: none is.
    """

    code: str
    first_on: date
    last_on: date | None
    why: LeftOutWhy


@dataclass(frozen=True, slots=True)
class After:
    """What is known of an animal after it went to a home for good.

    Attributes:
        back_on: the day it came back; None: it did not.
        watched_until: the day up to which that is known.
    """

    kind: PlacementKind
    back_on: date | None
    watched_until: date


@dataclass(frozen=True, slots=True)
class Charge:
    """One time that an animal was the organisation's to care for.

    Foster stays and loans are part of it: the animal is away, and still the
    organisation's own.

    Attributes:
        came: how it came.
        condition: as judged when it came.
        ended_on: None: it still is.
        outcome: how it left; None: it did not.
        away: foster stays and loans.
        quarantines: days kept apart.
        planned: days on which a placement was planned that came about, or still is.
        after: of one that went to a home for good.
    """

    animal: int
    code: str
    species: str
    began_on: date
    came: RegisterHow
    condition: IntakeCondition = IntakeCondition.NOT_JUDGED
    ended_on: date | None = None
    outcome: RegisterHow | None = None
    away: tuple[DaySpan, ...] = ()
    quarantines: tuple[DaySpan, ...] = ()
    planned: tuple[DaySpan, ...] = ()
    after: After | None = None

    def until(self, on: date) -> date:
        """Return the day after its last one, as far as a day.

        One that came and left on the same day was here for that day.

        Args:
            on: the day up to which anything is known; it counts for those that are
                still here.
        """
        if self.ended_on is None:
            return on + ONE_DAY
        return max(self.ended_on, self.began_on + ONE_DAY)
