"""Everything that a packet is built from, gathered once, as frozen values."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from husbandry.rules.care.facts import FeedingFact
from husbandry.rules.vocabulary import FindingKind, Urgency
from placements.rules.packets.days import LightTimes
from placements.rules.packets.health import Sighting
from placements.rules.packets.histories import (
    AnimalLine,
    ConditionLine,
    MassPoint,
    StayLine,
)
from placements.rules.packets.leaving import (
    METRIC_ON_A4,
    GateLine,
    HandoverLine,
    PaperLine,
    PrintChoice,
)
from placements.rules.packets.needs import Needs, ProfileVersion
from placements.rules.packets.records import (
    ClutchLine,
    EarlierCareLine,
    ExamEntry,
    IntakeLine,
    MateBand,
    QuarantineLine,
    SpurLine,
    TestLine,
    TreatmentLine,
)
from placements.rules.packets.routines import FeedingOrderLine
from placements.rules.vocabulary import PlacementKind


@dataclass(frozen=True, slots=True)
class FindingFacts:
    """A finding as it is on record."""

    kind: FindingKind
    urgency: Urgency
    opened_on: date
    last_seen_on: date
    closed_on: date | None
    nights: int
    evidence: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Background:
    """How it came, and where from."""

    intakes: tuple[IntakeLine, ...] = ()
    earlier_care: tuple[EarlierCareLine, ...] = ()
    quarantines: tuple[QuarantineLine, ...] = ()
    exams: tuple[ExamEntry, ...] = ()
    clutch: ClutchLine | None = None
    spur_checks: tuple[SpurLine, ...] = ()
    mates: tuple[MateBand, ...] = ()


@dataclass(frozen=True, slots=True)
class CareOnRecord:
    """What is on record of its food and its health.

    Attributes:
        feedings: in force, of the last weeks and of the calendar month.
        orders: what was agreed of its food and holds on the day it leaves or later,
            the latest made last.
        sightings: of warning signs, in the order in which they were seen.
    """

    feedings: tuple[FeedingFact, ...] = ()
    orders: tuple[FeedingOrderLine, ...] = ()
    sightings: tuple[Sighting, ...] = ()
    treatments: tuple[TreatmentLine, ...] = ()
    tests: tuple[TestLine, ...] = ()


@dataclass(frozen=True, slots=True)
class Leaving:
    """What is on record of its leaving.

    Attributes:
        lights: clock times of the home's enclosure, else of the one it lives in here.
        names: of people and homes that free text may have in it, to be left out.
    """

    print: PrintChoice = METRIC_ON_A4
    lights: LightTimes | None = None
    gates_opened: tuple[GateLine, ...] = ()
    treatment_handovers: tuple[HandoverLine, ...] = ()
    papers: tuple[PaperLine, ...] = ()
    due_back_on: date | None = None
    names: tuple[str, ...] = ()


NO_BACKGROUND = Background()
NOTHING_ON_RECORD = CareOnRecord()
PLAIN_LEAVING = Leaving()


@dataclass(frozen=True, slots=True)
class PacketFacts:
    """Everything that a packet is built from, gathered once.

    Attributes:
        on: the day the animal is to leave.
        known_until: the local day of making it.
        profile: the care profile in force on `on`; None where there is none.
    """

    on: date
    known_until: date
    time_zone: str
    kind: PlacementKind
    keeper: str
    keeper_contact: str
    animal: AnimalLine
    needs: Needs
    profile: ProfileVersion | None
    stays: tuple[StayLine, ...]
    weighings: tuple[MassPoint, ...]
    conditions: tuple[ConditionLine, ...]
    findings: tuple[FindingFacts, ...]
    background: Background = NO_BACKGROUND
    care: CareOnRecord = NOTHING_ON_RECORD
    leaving: Leaving = PLAIN_LEAVING
