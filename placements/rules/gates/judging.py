"""All gates of a placement, in the order in which they are best seen to."""

from collections.abc import Callable, Iterable
from dataclasses import replace

from placements.rules.gates import animals, goings
from placements.rules.gates.facts import GateFacts, GateResult
from placements.rules.vocabulary import Gate, GateState, PlacementKind

Judge = Callable[[GateFacts], GateResult]

OF_ALL: tuple[Judge, ...] = (
    animals.quarantine_over,
    goings.hold_over,
    animals.nothing_urgent,
    animals.treatment_handed_over,
    animals.sex_checked,
    animals.old_enough,
    animals.heavy_enough,
    goings.papers_there,
)
TO_A_HOME: tuple[Judge, ...] = (goings.application_accepted, goings.home_ready)
TO_THE_WILD: tuple[Judge, ...] = (goings.native_species, goings.release_permitted)
# The packet tells of what the others found, so it comes last.
LAST: tuple[Judge, ...] = (goings.packet_made,)


def judge_gates(facts: GateFacts) -> tuple[GateResult, ...]:
    """Judge every gate that a placement of its kind has.

    Args:
        facts: of one placement on one day.

    Returns:
        Each gate once: open, not asked, shut, or opened by a person where it would be
        shut. The two gates of a release are left out of other kinds, and those of a
        home out of a release.

    Source:
        ADR 0014.
    """
    release = facts.kind is PlacementKind.RELEASE
    judges = (*OF_ALL, *(TO_THE_WILD if release else TO_A_HOME), *LAST)
    return tuple(_with_opening(judge(facts), facts) for judge in judges)


def _with_opening(result: GateResult, facts: GateFacts) -> GateResult:
    reason = reason_opened(result.gate, facts)
    if not (result.shut and result.can_be_opened and reason):
        return result
    return replace(result, state=GateState.OPENED, reason=reason)


def reason_opened(gate: Gate, facts: GateFacts) -> str:
    """Return why a gate was opened by a person; "" where none is opened now."""
    for opening in facts.openings:
        if opening.gate is gate and opening.shut_again_at is None:
            return opening.reason
    return ""


def shut_gates(results: Iterable[GateResult]) -> tuple[GateResult, ...]:
    """Return the gates that do not let the animal pass, in their order."""
    return tuple(result for result in results if result.shut)
