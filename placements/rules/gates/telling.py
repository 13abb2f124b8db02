"""How the gates say what they found: one shape for a gate that is open, shut or not asked."""

from datetime import date
from enum import StrEnum

from husbandry.rules.sentences import numbers
from placements.rules.gates.facts import GateResult
from placements.rules.gates.policies import Policy
from placements.rules.vocabulary import Gate, GateState

ALWAYS = "asked of every animal"
OF_A_RELEASE = "asked of every release"
Evidence = tuple[tuple[str, str], ...]


def passed(gate: Gate, why: str, source: str, *, evidence: Evidence = ()) -> GateResult:
    """Return a gate that lets the animal pass."""
    return GateResult(gate, GateState.OPEN, why, source, evidence)


def not_asked(gate: Gate, why: str, source: str) -> GateResult:
    """Return a gate that nobody asks for."""
    return GateResult(gate, GateState.NOT_ASKED, why, source)


def refused(
    gate: Gate,
    why: str,
    source: str,
    *,
    evidence: Evidence = (),
    can_be_opened: bool = True,
) -> GateResult:
    """Return a gate that is shut."""
    return GateResult(gate, GateState.SHUT, why, source, evidence, can_be_opened)


def asker(policy: Policy) -> str:
    """Return who asks for what a policy says."""
    if policy.made_on is None:
        return "shipped policy, common practice"
    return f"policy of {day(policy.made_on)}"


def day(on: date) -> str:
    """Return a day as nobody can misread it."""
    return numbers.day(on.isoformat())


def words(word: StrEnum) -> str:
    """Return a stored word as people read it."""
    return word.value.replace("_", " ")
