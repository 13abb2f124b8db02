"""What is on record of a place's daily care, gathered once, as frozen values.

Days are local days of the site; instants know their zone.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from zoneinfo import ZoneInfo

from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import (
    ChoreKind,
    DoseOutcome,
    DoseUnit,
    FeedingOrderKind,
    HealthTestKind,
    HealthTestResult,
    LampKind,
    Misting,
    ObservationKind,
    Observed,
    Route,
    Sex,
    TaskKind,
    Urates,
)
from husbandry.rules.weights import GravidSpell, WeighingPoint


@dataclass(frozen=True, slots=True)
class FeedingFact:
    """One kind of food that was offered; `eaten` None: nobody watched."""

    id: int
    at: datetime
    on: date
    feeder: str
    offered: int
    eaten: int | None
    supplements: tuple[str, ...]
    assisted: bool

    @property
    def refused(self) -> bool:
        """Say whether somebody watched and nothing was eaten."""
        return self.eaten == 0


@dataclass(frozen=True, slots=True)
class OrderFact:
    """What was agreed about one animal's food; both days included."""

    id: int
    kind: FeedingOrderKind
    from_on: date
    until_on: date
    every_days: int | None
    portion: int | None
    unit: str
    reason: str
    by: str


@dataclass(frozen=True, slots=True)
class ObservationFact:
    """One thing that somebody saw; None and "" where it does not apply."""

    id: int
    at: datetime
    on: date
    kind: ObservationKind
    sign: str
    observed: Observed | None
    urates: Urates | None
    eggs: int | None
    look_again_on: date | None
    note: str


@dataclass(frozen=True, slots=True)
class DoseFact:
    """What became of one due dose."""

    id: int
    due_at: datetime
    at: datetime
    outcome: DoseOutcome
    volume_ml: Decimal | None


@dataclass(frozen=True, slots=True)
class PrescriptionFact:
    """What a licensed vet prescribed; `stopped_at` None: it runs until its last day."""

    id: int
    drug: str
    dose_per_kg: Decimal
    dose_unit: DoseUnit
    concentration_mg_per_ml: Decimal | None
    route: Route
    every_hours: int
    first_at: datetime
    until_on: date
    smallest_step_ml: Decimal
    vet: str
    stopped_at: datetime | None
    doses: tuple[DoseFact, ...]


@dataclass(frozen=True, slots=True)
class TestFact:
    """A test and its result."""

    __test__ = False  # not a case of the test suite

    id: int
    kind: HealthTestKind
    taken_on: date
    expected_on: date | None
    result: HealthTestResult
    result_on: date | None
    finding: str
    seen_by_vet_on: date | None


@dataclass(frozen=True, slots=True)
class CaredAnimal:
    """One animal in care, with what is on record of its care.

    Attributes:
        enclosure: key of where it is; None: nowhere on record.
        kept_apart_since: first day of the quarantine that it is in on the last day;
            None: it is in none.
        gravid: its gravid spells that began by the last day.
        weighed_on: local days on which it was weighed, in order, none twice.
        last_weighing: the newest weighing in force, or None.
        feedings, observations: as far back as `CareFacts` says, oldest first.
    """

    id: int
    code: str
    label: str
    species: int
    profile: Profile | None
    sex: Sex
    hatched_on: date | None
    arrived_on: date
    enclosure: int | None
    gravid: tuple[GravidSpell, ...] = ()
    weighed_on: tuple[date, ...] = ()
    last_weighing: WeighingPoint | None = None
    feedings: tuple[FeedingFact, ...] = ()
    orders: tuple[OrderFact, ...] = ()
    observations: tuple[ObservationFact, ...] = ()
    prescriptions: tuple[PrescriptionFact, ...] = ()
    tests: tuple[TestFact, ...] = ()
    kept_apart_since: date | None = None


@dataclass(frozen=True, slots=True)
class LampFact:
    """One lamp over an enclosure.

    Attributes:
        burnt_hours: from the day it was fitted to the day asked about, by the hours
            of light of the set-ups since then.
        checked_on: local days of its meter readings, in order.
    """

    id: int
    kind: LampKind
    label: str
    fitted_on: date
    burnt_hours: float
    checked_on: tuple[date, ...]
    last_uv_index: Decimal | None


@dataclass(frozen=True, slots=True)
class CaredEnclosure:
    """One enclosure, in the order in which its room is walked.

    Attributes:
        lights_on, lights_off: local clock times on the day asked about.
        laying_bin: a place to dig and lay is there.
    """

    id: int
    code: str
    position: int
    room: int
    lights_on: time
    lights_off: time
    misting: Misting
    laying_bin: bool
    lamps: tuple[LampFact, ...] = ()


@dataclass(frozen=True, slots=True)
class CaredRoom:
    """One room; rooms of quarantine are walked last."""

    id: int
    code: str
    name: str
    position: int
    quarantine: bool


@dataclass(frozen=True, slots=True)
class ChoreFact:
    """What was done for an enclosure (its key) or, gut-loading, for a room."""

    kind: ChoreKind
    at: datetime
    on: date
    enclosure: int | None
    room: int | None
    feeder: str


@dataclass(frozen=True, slots=True)
class CareFacts:
    """Everything on record of a site's care, for the days from one to another.

    Attributes:
        from_on, until_on: the days asked about, both included.
        since_on: records are gathered from this day on; it lies far enough back for
            every rule (the longest interval, the calendar month).
        first_recorded_on: the day on which this site first recorded a kind of care
            at all; a kind that is absent was never recorded.
    """

    zone: ZoneInfo
    site: int
    from_on: date
    until_on: date
    since_on: date
    animals: tuple[CaredAnimal, ...]
    enclosures: Mapping[int, CaredEnclosure]
    rooms: Mapping[int, CaredRoom]
    chores: tuple[ChoreFact, ...]
    first_recorded_on: Mapping[TaskKind, date]

    @property
    def kept_apart(self) -> frozenset[int | None]:
        """Return the keys of the enclosures where animals in quarantine live."""
        return frozenset(
            a.enclosure for a in self.animals if a.kept_apart_since is not None
        )
