"""Placements and their gates in words."""

from dataclasses import dataclass
from datetime import date

from placements.models import Placement
from placements.rules.gates.facts import GateResult
from placements.rules.standings import Standing
from placements.rules.vocabulary import (
    STAYS_OURS,
    Gate,
    GateState,
    PlacementKind,
    PlacementState,
)
from staff.units import day

KINDS = {
    PlacementKind.ADOPTION: "adoption",
    PlacementKind.SALE: "sale",
    PlacementKind.TRANSFER: "transfer to another house",
    PlacementKind.LOAN: "loan",
    PlacementKind.FOSTER: "foster stay",
    PlacementKind.RELEASE: "release to the wild",
}
GATES = {
    Gate.QUARANTINE_OVER: "Out of quarantine",
    Gate.NOTHING_URGENT: "Nothing urgent",
    Gate.SEX_CHECKED: "Sex checked",
    Gate.TREATMENT_HANDED_OVER: "Treatment handed over",
    Gate.OLD_ENOUGH: "Old enough",
    Gate.HEAVY_ENOUGH: "Heavy enough",
    Gate.HOLD_OVER: "No hold",
    Gate.PAPERS_THERE: "Papers there",
    Gate.APPLICATION_ACCEPTED: "Application accepted",
    Gate.HOME_READY: "Home ready",
    Gate.PACKET_MADE: "Packet made",
    Gate.NATIVE_SPECIES: "Native species",
    Gate.RELEASE_PERMITTED: "Release permitted",
}
STATES = {
    GateState.OPEN: "open",
    GateState.SHUT: "shut",
    GateState.OPENED: "opened by a person",
    GateState.NOT_ASKED: "not asked",
}
CAUTIONS = (
    "Move it only when it is well, in a ventilated, padded box of its own that stays "
    "between 17 and 30 °C, without food on the way and without sedation "
    "[exotic-vet-transport, cites-transport].",
    "Local law decides on permits, papers and transport.",
    "It is never released: only native species that came from the wild ever are, by "
    "whom the law permits. Who cannot keep an animal brings it back.",
)


@dataclass(frozen=True, slots=True)
class GateRow:
    """One gate as a line.

    Attributes:
        mark: css word: how it stands, told by shape and words too.
        may: what a person may do about it: `open`, `shut` or nothing.
    """

    gate: str
    name: str
    word: str
    mark: str
    why: str
    source: str
    reason: str
    evidence: tuple[tuple[str, str], ...]
    may: str


@dataclass(frozen=True, slots=True)
class PlacementRow:
    """One placement in a list.

    Attributes:
        next: what is to be done, in a sentence.
        shut: the sentences of its shut gates.
    """

    id: int
    animal: str
    line: str
    next: str
    mark: str
    shut: tuple[str, ...]


def gate_row(result: GateResult, *, planned: bool) -> GateRow:
    """Return a gate in words.

    Args:
        result: how it stands.
        planned: the placement is; afterwards nobody opens or shuts anything.
    """
    state, may = result.state, ""
    if planned and state is GateState.SHUT and result.can_be_opened:
        may = "open"
    if planned and state is GateState.OPENED:
        may = "shut"
    return GateRow(
        gate=result.gate.value,
        name=GATES[result.gate],
        word=STATES[state],
        mark="now" if state is GateState.SHUT else "",
        why=result.why,
        source=result.source,
        reason=result.reason,
        # What is open needs no proof; the sentence says it.
        evidence=tuple((k.replace("_", " "), _plain(v)) for k, v in result.evidence)
        if state is not GateState.OPEN
        else (),
        may=may,
    )


def _plain(value: str) -> str:
    """Return a day as people write it, a code in words."""
    try:
        return day(date.fromisoformat(value))
    except ValueError:
        return value.replace("_", " ")


def in_order(results: tuple[GateResult, ...]) -> list[GateResult]:
    """Return the gates that are asked for, what needs somebody first."""
    places = (GateState.SHUT, GateState.OPENED, GateState.OPEN)
    asked = [one for one in results if one.state is not GateState.NOT_ASKED]
    return sorted(asked, key=lambda one: places.index(one.state))


def not_asked(results: tuple[GateResult, ...]) -> list[str]:
    """Return the sentences of the gates that nobody asks for."""
    return [one.why for one in results if one.state is GateState.NOT_ASKED]


def placement_row(one: Standing, *, label: str, home: str) -> PlacementRow:
    """Return a placement that waits for something, as a line.

    Args:
        one: how it stands.
        label: the animal's.
        home: where it goes; "" for readers who may not see homes.
    """
    to = f" to {home}" if home else ""
    kind = KINDS[one.kind][0].upper() + KINDS[one.kind][1:]
    if one.state is not PlacementState.PLANNED:
        told = f"Is away, due back on {day(one.day)}."
        return PlacementRow(one.placement, label, f"{kind}{to}", told, "", ())
    shut = tuple(result.why for result in one.shut)
    told = f"Is meant to leave on {day(one.day)}; every gate is open."
    if shut:
        gates = "one gate is" if len(shut) == 1 else f"{len(shut)} gates are"
        told = f"Is meant to leave on {day(one.day)}; {gates} shut."
    mark = "today" if shut else "watch"
    return PlacementRow(one.placement, label, f"{kind}{to}", told, mark, shut)


def stands(row: Placement) -> str:
    """Return where a placement stands, in a sentence."""
    state, kind = PlacementState(row.state), PlacementKind(row.kind)
    if state is PlacementState.PLANNED:
        return f"Planned for {day(row.planned_on)}."
    if state is PlacementState.CALLED_OFF:
        return "Called off; the animal stayed."
    left = day(row.handed_over_on or row.planned_on)
    over = f" on {day(row.ended_on)}" if row.ended_on else ""
    return {
        PlacementState.CAME_BACK: f"Left on {left} and came back{over}.",
        PlacementState.MADE_LASTING: f"Left on {left}; made lasting{over}.",
        PlacementState.DIED_THERE: f"Left on {left} and died there{over}.",
    }.get(state, _away(row, left, kind))


def _away(row: Placement, left: str, kind: PlacementKind) -> str:
    if kind in STAYS_OURS and row.due_back_on:
        return f"Left on {left}; due back on {day(row.due_back_on)}."
    return f"Left on {left}."
