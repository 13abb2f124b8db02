"""The history inside a packet: who it is, and what was measured and found here."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from husbandry.rules.vocabulary import (
    Confidence,
    DatePrecision,
    EnclosureKind,
    FindingKind,
    Origin,
    Period,
    Quantity,
    Sex,
    SexBasis,
    Urgency,
    Zone,
)
from placements.rules.packets.records import (
    ClutchLine,
    EarlierCareLine,
    ExamEntry,
    FeedingResponse,
    IntakeLine,
    MateBand,
    QuarantineLine,
    SightingLine,
    SpurLine,
    TestLine,
    TreatmentLine,
)


@dataclass(frozen=True, slots=True)
class ParentLine:
    """A parent, as far as it is on record."""

    code: str
    name: str


@dataclass(frozen=True, slots=True)
class SireLine:
    """A male that may be the father, and how likely he is, in percent."""

    code: str
    name: str
    percent: Decimal


@dataclass(frozen=True, slots=True)
class AnimalLine:
    """Who the animal is.

    Attributes:
        may_be_sires: where the father is not on record: who it may be, the likeliest
            first. What is missing to 100 % is a male that nobody knows.
    """

    code: str
    name: str
    species: str
    scientific_name: str
    sex: Sex
    sex_basis: SexBasis
    sex_confidence: Confidence
    hatched_on: date | None
    hatched_precision: DatePrecision
    dam: ParentLine | None
    sire: ParentLine | None
    origin: Origin
    arrived_on: date
    microchip: str
    may_be_sires: tuple[SireLine, ...] = ()


@dataclass(frozen=True, slots=True)
class StayLine:
    """Where it lived, in local days.

    Attributes:
        until_on: last day; None: still there.
        width_cm: of the set-up that stood when the stay began; None where nobody
            described it. The same holds for depth and height.
    """

    enclosure: str
    kind: EnclosureKind
    room: str
    from_on: date
    until_on: date | None
    width_cm: Decimal | None
    depth_cm: Decimal | None
    height_cm: Decimal | None


@dataclass(frozen=True, slots=True)
class MassPoint:
    """One weighing that stands: corrected ones are left out."""

    on: date
    mass_g: Decimal


@dataclass(frozen=True, slots=True)
class ConditionLine:
    """What one period of one night's review added up to, at one spot.

    Attributes:
        covered_pct: share of the period with a valid value, whole percent.
        mean: time-weighted; None where nothing was measured.
        low: the band wanted then; None: open.
        high: the band wanted then; None: open.
        outside_minutes: time outside the band.
    """

    on: date
    zone: Zone
    period: Period
    quantity: Quantity
    covered_pct: int
    mean: Decimal | None
    lowest: Decimal | None
    highest: Decimal | None
    low: Decimal | None
    high: Decimal | None
    outside_minutes: int


@dataclass(frozen=True, slots=True)
class FindingLine:
    """One thing that the nightly reviews found, in plain sentences."""

    kind: FindingKind
    urgency: Urgency
    opened_on: date
    last_seen_on: date
    closed_on: date | None
    nights: int
    what: str
    first_step: str
    why: str


@dataclass(frozen=True, slots=True)
class History:
    """What is on record of the animal's time here.

    Attributes:
        mates: the band of its clutch-mates, one for each of its weighings at which
            enough of them were weighed.
        clutch: None where none is on record here.
        feeding: None where no feeding of the last weeks is on record.
    """

    stays: tuple[StayLine, ...]
    weighings: tuple[MassPoint, ...]
    conditions: tuple[ConditionLine, ...]
    findings: tuple[FindingLine, ...]
    intakes: tuple[IntakeLine, ...] = ()
    earlier_care: tuple[EarlierCareLine, ...] = ()
    quarantines: tuple[QuarantineLine, ...] = ()
    exams: tuple[ExamEntry, ...] = ()
    clutch: ClutchLine | None = None
    spur_checks: tuple[SpurLine, ...] = ()
    mates: tuple[MateBand, ...] = ()
    feeding: FeedingResponse | None = None
    signs: tuple[SightingLine, ...] = ()
    treatments: tuple[TreatmentLine, ...] = ()
    tests: tuple[TestLine, ...] = ()
