"""What a packet says of leaving: papers, gates that were opened, the time after."""

from dataclasses import dataclass
from datetime import date

from husbandry.rules.vocabulary import Urgency
from placements.rules.packets.plans import Basis
from placements.rules.vocabulary import (
    CitesSource,
    FollowUpKind,
    Gate,
    Paper,
    PaperKind,
    UnitSystem,
)


@dataclass(frozen=True, slots=True)
class PrintChoice:
    """How the home reads its papers; part of the document, so that it prints alike.

    Attributes:
        units: which come first; the others stand beside them.
        language: of fixed words, as BCP 47 says it.
    """

    units: UnitSystem = UnitSystem.METRIC
    paper: Paper = Paper.A4
    language: str = "en"


METRIC_ON_A4 = PrintChoice()


@dataclass(frozen=True, slots=True)
class GateLine:
    """A gate that was shut and was opened by somebody who may, and why."""

    gate: Gate
    why_shut: str
    reason: str
    opened_on: date


@dataclass(frozen=True, slots=True)
class HandoverLine:
    """How a treatment that is not over goes on, in the licensed vet's words."""

    drug: str
    plan: str
    handed_over_on: date


@dataclass(frozen=True, slots=True)
class PaperLine:
    """A paper of the animal, or of its release.

    Attributes:
        cites_source: None where the paper names none.
        issued_by: an authority; "" where a paper is a private person's word.
        valid_until: last day; None: it does not end.
    """

    kind: PaperKind
    number: str
    cites_source: CitesSource | None
    issued_by: str
    issued_on: date | None
    valid_until: date | None


@dataclass(frozen=True, slots=True)
class FollowUpLine:
    """A day on which the keeping organisation asks how the animal is doing."""

    kind: FollowUpKind
    on: date


@dataclass(frozen=True, slots=True)
class CallLine:
    """Whom to call at a sign of some urgency."""

    urgency: Urgency
    text: str
    basis: Basis
