"""The care plan inside a packet: frozen values with their sources."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from husbandry.rules.profiles.vocabulary import FeederUse
from husbandry.rules.vocabulary import Period, Quantity, Standing, Urgency, Zone


@dataclass(frozen=True, slots=True)
class Basis:
    """On whose word a value rests.

    Attributes:
        source: key of the source; the packet's list says more.
        standing: published, common practice or from memory.
        reviewed_on: when a person last looked at it.
        note: what the profile adds.
    """

    source: str
    standing: Standing
    reviewed_on: date
    note: str


@dataclass(frozen=True, slots=True)
class OtherView:
    """What another source says instead of the value that is used."""

    low: Decimal | None
    high: Decimal | None
    basis: Basis


@dataclass(frozen=True, slots=True)
class TargetLine:
    """One band of conditions, resolved for this animal on the packet's day.

    Attributes:
        agreed: why and until when it differs from the profile for this animal;
            empty where it is the profile's own.
    """

    quantity: Quantity
    zone: Zone
    period: Period
    low: Decimal | None
    high: Decimal | None
    hard_low: Decimal | None
    hard_high: Decimal | None
    tolerated_minutes: int
    basis: Basis
    others: tuple[OtherView, ...]
    agreed: str


@dataclass(frozen=True, slots=True)
class LightLine:
    """Hours of light a day."""

    hours_low: Decimal
    hours_high: Decimal
    basis: Basis


@dataclass(frozen=True, slots=True)
class RoomLine:
    """The least size of its enclosure, in centimetres."""

    width_cm: Decimal
    depth_cm: Decimal
    height_cm: Decimal
    basis: Basis


@dataclass(frozen=True, slots=True)
class CompanyLine:
    """Whether it lives alone, and whether it may see others of its kind."""

    alone: bool
    most: int
    no_sight_of_others: bool
    basis: Basis


@dataclass(frozen=True, slots=True)
class FeedingLine:
    """How often and how much it eats now."""

    every_days_low: int
    every_days_high: int
    portion_low: int
    portion_high: int
    unit: str
    note: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class TextLine:
    """A sentence of the profile with its source: a caution, a note, a check."""

    id: str
    topic: str
    text: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class FeederLine:
    """A feeder animal.

    Attributes:
        from_on: not before this day, where the animal is still too young for it.
    """

    name: str
    use: FeederUse
    from_on: date | None
    text: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class SignLine:
    """A warning sign, how soon to act, and what to do."""

    id: str
    text: str
    urgency: Urgency
    do: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class WeighingLine:
    """How often to weigh it."""

    every_days: int
    basis: Basis


@dataclass(frozen=True, slots=True)
class MassLine:
    """The band its weight is expected in, from a day on until another.

    Attributes:
        until_on: last day; None: from then on for good.
    """

    from_on: date
    until_on: date | None
    low_g: Decimal | None
    high_g: Decimal | None
    basis: Basis


@dataclass(frozen=True, slots=True)
class Changed:
    """One thing that is different in the next life stage, as the plan words it."""

    what: str
    now: str
    then: str


@dataclass(frozen=True, slots=True)
class StageChange:
    """A life stage still to come, the day it begins, what changes then."""

    on: date
    stage: str
    changes: tuple[Changed, ...]


@dataclass(frozen=True, slots=True)
class CalendarDay:
    """One day of the month sheet.

    Attributes:
        feed: whether food is offered.
        supplements: what the food is dusted with; empty on days without food.
    """

    on: date
    feed: bool
    supplements: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CarePlan:
    """How this animal is to be kept from the packet's day on."""

    profile_version: int
    profile_sha256: str
    stage: str
    stage_from_days: int | None
    stage_to_days: int | None
    gravid: bool
    targets: tuple[TargetLine, ...]
    light: LightLine | None
    room: RoomLine | None
    company: CompanyLine | None
    laying: Basis | None
    feeding: FeedingLine | None
    feeders: tuple[FeederLine, ...]
    supplements: tuple[TextLine, ...]
    weighing: WeighingLine | None
    masses: tuple[MassLine, ...]
    first_things: tuple[TextLine, ...]
    checklist: tuple[TextLine, ...]
    signs: tuple[SignLine, ...]
    notes: tuple[TextLine, ...]
    changes: tuple[StageChange, ...]
    calendar: tuple[CalendarDay, ...]
