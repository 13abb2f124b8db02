"""What the night says of animals in quarantine."""

from collections.abc import Iterable, Iterator
from enum import StrEnum
from typing import Any

from husbandry.rules.assessments import Assessment
from husbandry.rules.vocabulary import FindingKind, Urgency
from placements.rules.quarantine.values import QuarantineState
from placements.rules.vocabulary import Criterion


class Broken(StrEnum):
    """In what way an animal is not kept apart."""

    OUTSIDE = "outside"
    SHARED_WITH = "shared_with"


def assess_quarantine(states: Iterable[QuarantineState]) -> Iterator[Assessment]:
    """Yield what is wrong with animals in quarantine, and who is ready to leave it.

    Args:
        states: as they stood at the end of the night's local day.

    Yields:
        Broken, for today: it lives in a room that is not marked for quarantine, or
        animals that are not in quarantine live in its room. Ready, to be watched: all
        that the policy asks for is so, and a person decides.

    Source:
        quarantine-guidance; the urgencies are this project's convention.
    """
    for state in states:
        broken = why_broken(state)
        if broken is not None:
            yield _broken(state, broken)
        if state.is_ready:
            yield _ready(state)


def why_broken(state: QuarantineState) -> Broken | None:
    """Return in what way an animal is not kept apart; None: it is.

    One that is in no enclosure breaks nothing; another finding tells of it.
    """
    lodging = state.lodging
    if lodging is None:
        return None
    if not lodging.keeps_apart:
        return Broken.OUTSIDE
    return Broken.SHARED_WITH if lodging.others else None


def _broken(state: QuarantineState, why: Broken) -> Assessment:
    lodging = state.lodging
    facts: dict[str, Any] = {
        "began_on": state.began_on.isoformat(),
        "day": (state.on - state.began_on).days,
        "room": lodging.room if lodging else "",
        "enclosure": lodging.enclosure if lodging else "",
        "why": why.value,
        "with": list(lodging.others) if lodging else [],
    }
    return Assessment(
        kind=FindingKind.QUARANTINE_BROKEN,
        urgency=Urgency.TODAY,
        facts=facts,
        animal=state.animal,
    )


def _ready(state: QuarantineState) -> Assessment:
    by = {c.criterion: c for c in state.criteria}
    tests = by[Criterion.TESTS]
    facts: dict[str, Any] = {
        "began_on": state.began_on.isoformat(),
        "clock_from": state.clock_from.isoformat(),
        "day": (state.on - state.clock_from).days,
        "days_wanted": state.rule.days,
        "tests": len(tests.evidence["without_findings"]) if tests.asked else 0,
        "weight_change_pct": by[Criterion.WEIGHT].evidence["change_pct"],
    }
    return Assessment(
        kind=FindingKind.QUARANTINE_READY,
        urgency=Urgency.WATCH,
        facts=facts,
        animal=state.animal,
    )
