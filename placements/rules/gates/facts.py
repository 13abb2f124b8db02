"""What a gate looks at, gathered once: frozen values of one placement on one day."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from husbandry.rules.vocabulary import (
    Confidence,
    DatePrecision,
    FindingKind,
    Origin,
    Sex,
    Urgency,
)
from placements.rules.applications.checks import NO_APPLICATION, ApplicationFacts
from placements.rules.gates.policies import Policy
from placements.rules.holds import HoldFacts
from placements.rules.papers.facts import PaperFacts
from placements.rules.vocabulary import Gate, GateState, PlacementKind, Readiness


@dataclass(frozen=True, slots=True)
class KeptApart:
    """An open quarantine, and a sentence for each criterion that is not met."""

    began_on: date
    unmet: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class UrgentFinding:
    """Something about the animal that somebody must see to now or today."""

    id: int
    kind: FindingKind
    urgency: Urgency
    opened_on: date


@dataclass(frozen=True, slots=True)
class Treatment:
    """A prescription that is not over on the day, and whether a vet said how it goes on."""

    drug: str
    until_on: date
    handed_over: bool


@dataclass(frozen=True, slots=True)
class Mass:
    """The newest weighing in force."""

    mass_g: Decimal
    on: date


@dataclass(frozen=True, slots=True)
class HomeJudged:
    """How the home's enclosure compared with what the animal needs; the newest holds.

    Attributes:
        amiss: how many matters are not as wanted, or else not known; which they are
            tells of the people of the home.
    """

    outcome: Readiness
    on: date
    amiss: int = 0


@dataclass(frozen=True, slots=True)
class PacketMade:
    """The newest version of a placement's packet."""

    number: str
    made_at: datetime


@dataclass(frozen=True, slots=True)
class Opening:
    """That somebody opened a gate, and whether it was shut again."""

    gate: Gate
    reason: str
    opened_at: datetime
    shut_again_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class GateFacts:
    """Everything that the gates of one placement look at, as of one local day.

    Attributes:
        placement: key of the placement.
        on: the day on which it would leave.
        origin: of the animal.
        found_stray: it came as a stray.
        native: its species lives wild where the organisation works.
        papers: of the animal and of keeping its species, in force on the day or not.
        home_judged: None: nobody has compared the home's enclosure, or it was changed
            since.
        openings: of this placement's gates, those shut again too.
    """

    placement: int
    kind: PlacementKind
    on: date
    policy: Policy
    sex: Sex
    sex_confidence: Confidence
    hatched_on: date | None
    hatched_precision: DatePrecision
    origin: Origin
    found_stray: bool
    native: bool
    mass: Mass | None = None
    kept_apart: KeptApart | None = None
    urgent: tuple[UrgentFinding, ...] = ()
    treatments: tuple[Treatment, ...] = ()
    hold: HoldFacts | None = None
    papers: tuple[PaperFacts, ...] = ()
    applied: ApplicationFacts = NO_APPLICATION
    home_judged: HomeJudged | None = None
    packet: PacketMade | None = None
    openings: tuple[Opening, ...] = ()


@dataclass(frozen=True, slots=True)
class GateResult:
    """How one gate stands.

    Attributes:
        why: a whole sentence: why it is shut, or what it is open on.
        evidence: what made it so, name and value.
        source: who asks.
        can_be_opened: whether a person with the permission may open it while shut.
        reason: of the person who opened it; "" where nobody did.
    """

    gate: Gate
    state: GateState
    why: str
    source: str
    evidence: tuple[tuple[str, str], ...] = ()
    can_be_opened: bool = True
    reason: str = ""

    @property
    def shut(self) -> bool:
        """Say whether the animal does not pass."""
        return self.state is GateState.SHUT
