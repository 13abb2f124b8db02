"""A care task: one thing due on one day, who says so, and what closed it."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from husbandry.rules.profiles.values import Provenance
from husbandry.rules.vocabulary import (
    HealthTestKind,
    LampKind,
    MistingTime,
    Route,
    TaskKind,
)


@dataclass(frozen=True, slots=True)
class Supplement:
    """A supplement by the id of its row, and its name."""

    id: str
    name: str


@dataclass(frozen=True, slots=True)
class FeedPlan:
    """What to offer.

    Attributes:
        feeder: id of the feeder row that is offered to the whole room that day, or
            "" where the profile names none that suits.
        supplements: what the food is dusted with at this feeding.
        assisted: fed by hand, as agreed for this animal.
        agreed: by whom and why, where an agreement stands behind it; else "".
    """

    feeder: str
    feeder_name: str
    portion_low: int
    portion_high: int
    unit: str
    supplements: tuple[Supplement, ...]
    assisted: bool = False
    agreed: str = ""


@dataclass(frozen=True, slots=True)
class GutLoadPlan:
    """What the insects of a whole room are fed for.

    Attributes:
        feeding_on: the day of the feedings they are for.
        animals: how many animals will be offered them.
    """

    feeder: str
    feeder_name: str
    insects_low: int
    insects_high: int
    animals: int
    feeding_on: date


@dataclass(frozen=True, slots=True)
class MistPlan:
    """For how many minutes to mist."""

    time: MistingTime
    minutes_low: int
    minutes_high: int


@dataclass(frozen=True, slots=True)
class LampPlan:
    """Which lamp, and why now."""

    lamp: int
    kind: LampKind
    label: str
    fitted_on: date
    burnt_hours: float
    last_on: date | None
    """Of the last meter reading."""


@dataclass(frozen=True, slots=True)
class DosePlan:
    """A dose of what a licensed vet prescribed.

    Attributes:
        volume_ml: for today's weight, to the syringe's step; None: refused.
        refusal: why no volume is computed, and what to do; "" where one is.
        mass_g, weighed_on: what it was computed from.
    """

    prescription: int
    drug: str
    route: Route
    vet: str
    due_at: datetime
    volume_ml: Decimal | None
    refusal: str
    mass_g: Decimal | None
    weighed_on: date | None


@dataclass(frozen=True, slots=True)
class LookPlan:
    """Look again at what was seen, or ask for a result.

    Attributes:
        about: id of the observation or the test.
        text: what was seen then; in a test, its kind.
    """

    about: int
    since_on: date
    text: str
    test: HealthTestKind | None = None


@dataclass(frozen=True, slots=True)
class WeighPlan:
    """The last weighing, beside which the new one is read."""

    every_days: int
    last_g: Decimal | None
    last_on: date | None


@dataclass(frozen=True, slots=True)
class WatchPlan:
    """Look at a gravid female: is she bright, does she dig, does she lay?

    Attributes:
        since_on: first day on which she was seen gravid.
    """

    since_on: date


Plan = (
    FeedPlan
    | GutLoadPlan
    | MistPlan
    | LampPlan
    | DosePlan
    | LookPlan
    | WeighPlan
    | WatchPlan
)


@dataclass(frozen=True, slots=True)
class CareTask:
    """One thing that is due on one local day.

    Attributes:
        key: the same whenever it is computed: kind, subject, day and detail.
        due_on: the local day.
        due_at: the instant where one matters (doses, misting, gut-loading), or None.
        animal, enclosure, room: whom or what it is for; keys, the others None.
        done_on: the local day of what closed it; None: open.
        rule_id: the profile's row, or "" where a person's word stands behind it.
        provenance: of that row; None for what a person ordered.
    """

    key: str
    kind: TaskKind
    due_on: date
    due_at: datetime | None
    animal: int | None
    enclosure: int | None
    room: int | None
    plan: Plan
    done_on: date | None
    rule_id: str
    provenance: Provenance | None

    @property
    def is_open(self) -> bool:
        """Say whether nothing on record closes it."""
        return self.done_on is None
