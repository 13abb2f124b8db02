"""What is known of animals in quarantine, and what is made of it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from husbandry.rules.vocabulary import FindingKind, HealthTestResult, Urgency
from placements.rules.quarantine.policies import QuarantineRule
from placements.rules.vocabulary import Criterion


@dataclass(frozen=True, slots=True)
class KeptApart:
    """A quarantine, open or over.

    Attributes:
        id: of the quarantine.
        ended_on: the day on which it was ended; None: it is open.
    """

    id: int
    animal: int
    code: str
    group: str
    began_on: date
    ended_on: date | None = None


@dataclass(frozen=True, slots=True)
class Visit:
    """The time from which until which an animal was in a room.

    Attributes:
        room: its key.
        room_name: as people call it.
        from_at: when it came; `from_on` is the local day of it.
        until_at: when it went, None: it is there still; `until_on` the local day.
    """

    room: int
    room_name: str
    from_at: datetime
    from_on: date
    until_at: datetime | None = None
    until_on: date | None = None


@dataclass(frozen=True, slots=True)
class Exposure:
    """That an animal in quarantine met another of its group in its room.

    Attributes:
        on: the local day from which both were there and both were kept apart.
        animal: the other, by key.
        code: of the other.
    """

    on: date
    animal: int
    code: str
    room: str


@dataclass(frozen=True, slots=True)
class SampleFact:
    """A test of the kind that the policy asks for, and its result by the day asked."""

    taken_on: date
    result: HealthTestResult


@dataclass(frozen=True, slots=True)
class MassFact:
    """A weighing in force, on a local day."""

    on: date
    mass_g: Decimal


@dataclass(frozen=True, slots=True)
class OpenFinding:
    """A finding about an animal that stood open after the last reviewed night."""

    id: int
    kind: FindingKind
    urgency: Urgency
    opened_on: date


@dataclass(frozen=True, slots=True)
class QuarantineFacts:
    """What the criteria are judged by.

    Attributes:
        began_on: first day of the quarantine.
        exposures: that restarted its clock, in any order.
        tests: of the kind asked for, in any order.
        weighings: in force, in any order.
        reviewed_on: the last night that was reviewed where it lives; None: none was.
        findings: about the animal that stood open then.
    """

    began_on: date
    exposures: tuple[Exposure, ...] = ()
    tests: tuple[SampleFact, ...] = ()
    weighings: tuple[MassFact, ...] = ()
    reviewed_on: date | None = None
    findings: tuple[OpenFinding, ...] = ()


@dataclass(frozen=True, slots=True)
class CriterionState:
    """Whether one thing is as it has to be.

    Attributes:
        asked: the policy asks for it at all; what is not asked counts as met.
        met: None: the data do not say, which is not yes.
        evidence: the numbers that it was judged by, as plain JSON values.
    """

    criterion: Criterion
    asked: bool
    met: bool | None
    evidence: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Lodging:
    """Where an animal in quarantine lives at the end of the day, and with whom.

    Attributes:
        keeps_apart: the room is marked for quarantine.
        others: codes of animals in the same room that are not in quarantine.
    """

    enclosure: str
    room: str
    site: int
    keeps_apart: bool
    others: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class QuarantineState:
    """One animal's quarantine as it stands at the end of a local day.

    Attributes:
        id: of the quarantine.
        clock_from: the day from which its days are counted.
        exposures: what restarted its clock, oldest first.
        earliest_on: the first day on which enough days have passed.
        lodging: where it lives; None: in no enclosure.
    """

    id: int
    animal: int
    code: str
    label: str
    species: int
    on: date
    began_on: date
    group: str
    reason: str
    clock_from: date
    exposures: tuple[Exposure, ...]
    earliest_on: date
    rule: QuarantineRule
    criteria: tuple[CriterionState, ...]
    lodging: Lodging | None

    @property
    def is_ready(self) -> bool:
        """Say whether everything that the policy asks for is so."""
        return all(state.met for state in self.criteria)

    @property
    def unmet(self) -> tuple[CriterionState, ...]:
        """Return what is not so, or not known to be."""
        return tuple(state for state in self.criteria if not state.met)
