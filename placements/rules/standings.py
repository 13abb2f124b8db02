"""Placements that wait for something, and what the night says of them."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from husbandry.rules.assessments import Assessment
from husbandry.rules.vocabulary import FindingKind, Urgency
from placements.rules.gates.facts import GateResult
from placements.rules.gates.judging import shut_gates
from placements.rules.vocabulary import STAYS_OURS, PlacementKind, PlacementState

STUCK_WITHIN = timedelta(days=2)


@dataclass(frozen=True, slots=True)
class Standing:
    """How a placement stands that is planned, or whose animal is away and due back.

    Attributes:
        animal: key of the animal; in_care: it is here.
        day: when the next thing is to be done: the day it is meant to leave, or is
            due back.
        gates: of a plan, each gate for the day on which it would leave.
    """

    placement: int
    animal: int
    code: str
    in_care: bool
    kind: PlacementKind
    state: PlacementState
    day: date
    gates: tuple[GateResult, ...] = ()

    @property
    def shut(self) -> tuple[GateResult, ...]:
        """Return the gates that do not let the animal pass."""
        return shut_gates(self.gates)


def assess_placements(standings: Iterable[Standing], on: date) -> Iterator[Assessment]:
    """Yield what is wrong with placements on a local day.

    Args:
        standings: how they stand at the end of that day.
        on: the day.

    Yields:
        DUE_BACK for a loan or foster stay past its day; PLACEMENT_STUCK for a plan
        with a shut gate whose day has passed or comes within two days. An animal that
        is away is named by its code, as it is not among those in care.

    Source:
        ADR 0014: two days leave time to act and to tell the home; a convention.
    """
    for one in standings:
        if one.state is PlacementState.PLANNED:
            yield from _stuck(one, on)
        elif one.kind in STAYS_OURS:
            yield from _late(one, on)


def _stuck(one: Standing, on: date) -> Iterator[Assessment]:
    shut = one.shut
    if not shut or one.day > on + STUCK_WITHIN:
        return
    yield Assessment(
        kind=FindingKind.PLACEMENT_STUCK,
        urgency=Urgency.WATCH,
        facts={
            "kind": one.kind.value,
            "planned_on": one.day.isoformat(),
            "shut": [[result.gate.value, result.why] for result in shut],
            "placement": one.placement,
            "animal_code": one.code,
        },
        detail=("placement", str(one.placement)),
        animal=one.animal if one.in_care else None,
    )


def _late(one: Standing, on: date) -> Iterator[Assessment]:
    days_late = (on - one.day).days
    if days_late <= 0:
        return
    yield Assessment(
        kind=FindingKind.DUE_BACK,
        urgency=Urgency.TODAY,
        facts={
            "kind": one.kind.value,
            "due_back_on": one.day.isoformat(),
            "days_late": days_late,
            "placement": one.placement,
            "animal_code": one.code,
        },
        detail=("placement", str(one.placement)),
        animal=one.animal if one.in_care else None,
    )
