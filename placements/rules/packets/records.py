"""Parts of the history: how it came, how it ate, what was seen, tested and treated.

No line names a person: who brought it, looked at it or prescribed stays on record
here (ADR 0004).
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from clutches.rules.vocabulary import ClutchKind, Heel
from husbandry.rules.vocabulary import (
    AnimalStatus,
    HealthTestKind,
    HealthTestResult,
    Urgency,
)
from placements.rules.vocabulary import (
    BodySystem,
    ChipScan,
    ExamOutcome,
    IntakeCondition,
    IntakeSource,
)


@dataclass(frozen=True, slots=True)
class IntakeLine:
    """How it came into care, once.

    Attributes:
        species_told: what it was said to be; "" where nothing was said.
        hold_until: last day on which it was held; None: it was not.
        came_with: what came with it.
    """

    on: date
    source: IntakeSource
    condition: IntakeCondition
    chip_scan: ChipScan
    species_told: str
    hold_until: date | None
    came_with: str


@dataclass(frozen=True, slots=True)
class EarlierCareLine:
    """A time in care that was over before it came again."""

    arrived_on: date
    left_on: date
    status: AnimalStatus


@dataclass(frozen=True, slots=True)
class QuarantineLine:
    """A time apart; `despite` says why it ended although not all was as wanted.

    Attributes:
        ended_on: last day kept apart; None: still.
        cleared: somebody ended it on evidence.
    """

    began_on: date
    ended_on: date | None
    cleared: bool
    despite: str


@dataclass(frozen=True, slots=True)
class ExamPart:
    """What was seen at one part of the body."""

    system: BodySystem
    outcome: ExamOutcome
    note: str


@dataclass(frozen=True, slots=True)
class ExamEntry:
    """One look over the whole animal. Never a diagnosis."""

    on: date
    parts: tuple[ExamPart, ...]


@dataclass(frozen=True, slots=True)
class ClutchLine:
    """The clutch it hatched from.

    Attributes:
        eggs_set: eggs kept to incubate; for live young, all that were born.
        hatched: of them, so many hatched or were born alive.
        egg: its number in the clutch; None: not known.
    """

    code: str
    kind: ClutchKind
    laid_on: date
    eggs_set: int
    hatched: int
    egg: int | None


@dataclass(frozen=True, slots=True)
class SpurLine:
    """One look at its heels."""

    on: date
    left: Heel
    right: Heel


@dataclass(frozen=True, slots=True)
class MateBand:
    """What its clutch-mates weighed at the age it had on a day.

    Attributes:
        on: day of one of its weighings.
        mates: how many were weighed at that age.
    """

    on: date
    mates: int
    low_g: Decimal
    median_g: Decimal
    high_g: Decimal


@dataclass(frozen=True, slots=True)
class FeederResponse:
    """How it took one kind of food.

    Attributes:
        times: how often it was offered.
        offered: animals offered, those nobody watched too.
        watched: how often somebody watched.
        offered_watched: animals offered while somebody watched.
        eaten: of them, so many were eaten.
        refused: how often somebody watched and nothing was eaten.
        assisted: how often it was given by hand or syringe.
    """

    feeder: str
    times: int
    offered: int
    watched: int
    offered_watched: int
    eaten: int
    refused: int
    assisted: int


@dataclass(frozen=True, slots=True)
class FeedingResponse:
    """How it ate in the last weeks, by what is on record; both ends included.

    Attributes:
        days_fed: days on which food was offered.
        last_eaten_on: last day within on which somebody saw it eat; None: none.
        feeders: most often offered first.
    """

    from_on: date
    until_on: date
    days_fed: int
    last_eaten_on: date | None
    feeders: tuple[FeederResponse, ...]


@dataclass(frozen=True, slots=True)
class TreatmentLine:
    """A medicine that a licensed vet prescribed; amounts are left out on purpose.

    Attributes:
        reason: in the vet's words; "" where none is on record.
        until_on: last day as prescribed.
        stopped_on: it was stopped before; None: it was not.
        due: doses due up to the packet's last known day.
        given: of them, so many were given.
        not_given: of them, so many were left out, with a reason on record.
        unrecorded: of them, nothing is on record.
        open: doses are due after the packet's last known day.
    """

    drug: str
    reason: str
    from_on: date
    until_on: date
    stopped_on: date | None
    stopped_reason: str
    due: int
    given: int
    not_given: int
    unrecorded: int
    open: bool


@dataclass(frozen=True, slots=True)
class TestLine:
    """A sample or picture that was taken, and what a laboratory or vet said of it."""

    __test__ = False  # not a case of the test suite

    kind: HealthTestKind
    taken_on: date
    result: HealthTestResult
    result_on: date | None
    finding: str


@dataclass(frozen=True, slots=True)
class SightingLine:
    """A warning sign that was seen, all sightings together.

    Attributes:
        text: in the words of the care profile.
        urgency: None: the profile does not name it any more.
        times: how often it was seen.
        gone_on: first day after the last sighting on which it was seen to be gone;
            None: nobody said so.
    """

    text: str
    urgency: Urgency | None
    first_on: date
    last_on: date
    times: int
    gone_on: date | None
