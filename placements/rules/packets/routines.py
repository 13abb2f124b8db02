"""What is to be done in the new home, hour by hour and month by month.

Days are laid out by the rules of the daily rounds (`husbandry.rules.care`); they are
an arrangement to start from, because nothing published fixes them.
"""

from dataclasses import dataclass
from datetime import date, time
from enum import StrEnum

from husbandry.rules.vocabulary import FeedingOrderKind, LampKind
from placements.rules.packets.plans import Basis


class DayMatter(StrEnum):
    """What a line of the day is about."""

    MIST = "mist"
    LIGHTS_ON = "lights_on"
    FEED = "feed"
    LIGHTS_OFF = "lights_off"
    GUT_LOAD = "gut_load"


class LightsBasis(StrEnum):
    """Where the clock times of a day come from."""

    HOME = "home"
    HERE = "here"
    CONVENTION = "convention"


class LampWork(StrEnum):
    """What is to be done with a lamp on a day."""

    MEASURE = "measure"
    REPLACE = "replace"


@dataclass(frozen=True, slots=True)
class DayLine:
    """One line of the day, in the order of the clock.

    Attributes:
        at: local time in the new home.
        until: local time at which it ends; None: it is done when it is done.
        text: what to do, in one sentence.
    """

    at: time
    until: time | None
    matter: DayMatter
    text: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class DayPlan:
    """How a usual day goes.

    Attributes:
        lights: whose clock times these are: the home's own enclosure as it was
            described, the enclosure it lives in here, or a convention.
        lines: in the order of the clock.
    """

    lights: LightsBasis
    lines: tuple[DayLine, ...]


@dataclass(frozen=True, slots=True)
class FeedingSpell:
    """Days of one month in which one way of feeding holds; both ends included.

    Attributes:
        stage: name of the life stage; "" where its age is not known.
        every_days_low: from feeding to feeding, at least.
        every_days_high: at most; between two lengths the two take turns.
        agreed: kind of the agreement that it follows; None: the care profile.
    """

    from_on: date
    until_on: date
    stage: str
    every_days_low: int
    every_days_high: int
    portion_low: int
    portion_high: int
    unit: str
    agreed: FeedingOrderKind | None = None


@dataclass(frozen=True, slots=True)
class SupplementDays:
    """On which feeding days of a month one supplement of the month is given.

    Attributes:
        instead_of: name of the supplement that it takes the place of; "" for none.
    """

    name: str
    instead_of: str
    on: tuple[date, ...]


@dataclass(frozen=True, slots=True)
class StageBegin:
    """A life stage begins; what changes then stands among the plan's changes.

    Attributes:
        about: the day of hatching is known to the month or the year only.
    """

    on: date
    stage: str
    about: bool


@dataclass(frozen=True, slots=True)
class LampDay:
    """A lamp is to be measured or replaced, counted from a new lamp on the first day."""

    on: date
    work: LampWork
    lamp: LampKind


@dataclass(frozen=True, slots=True)
class MonthPlan:
    """One calendar month of the first twelve; the first and the last may be parts.

    Attributes:
        from_on: its first day in the new home.
        until_on: its last.
        stages: names of the life stages in it, in order.
        feeding: how it is fed, spell after spell; empty where nothing is said.
        feed_on: days on which food is offered.
        every_feeding: names of the supplements of every feeding.
        supplements: those of certain days of the month, with their days.
        weigh_on: days on which it is weighed; none while it settles in.
    """

    from_on: date
    until_on: date
    stages: tuple[str, ...]
    feeding: tuple[FeedingSpell, ...]
    feed_on: tuple[date, ...]
    every_feeding: tuple[str, ...]
    supplements: tuple[SupplementDays, ...]
    weigh_on: tuple[date, ...]
    begins: tuple[StageBegin, ...]
    lamps: tuple[LampDay, ...]


@dataclass(frozen=True, slots=True)
class FeedingOrderLine:
    """What was agreed of its food and still holds when it leaves; both days included.

    Attributes:
        every_days: None for a fast, as the portion.
    """

    kind: FeedingOrderKind
    from_on: date
    until_on: date
    every_days: int | None
    portion: int | None
    unit: str
    reason: str
