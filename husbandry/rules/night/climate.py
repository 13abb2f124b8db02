"""What was measured against what was wanted, animal by animal.

The shares below are conventions of this project (ADR 0007): no published rule says
from how many minutes on a band counts as missed.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from husbandry.rules.conditions import (
    MISSING,
    PERIODS,
    QUANTITIES,
    NightConditions,
)
from husbandry.rules.findings import URGENCY_ORDER, Seen, key_of
from husbandry.rules.night import evidence
from husbandry.rules.night.evidence import Json
from husbandry.rules.night.facts import NightFacts
from husbandry.rules.night.planning import Judgement, Plan, milli
from husbandry.rules.profiles.resolving import ResolvedTarget
from husbandry.rules.vocabulary import FindingKind, Urgency

# Below this share of a period covered, "not wrong" cannot be said.
DECIDED_FROM_SHARE = 0.75
# Outside for more than this share of what was measured: somebody acts today.
TODAY_FROM_SHARE = 0.25


@dataclass(frozen=True, slots=True)
class _Side:
    """One side of a band, read from one row of the conditions."""

    kind: FindingKind
    outside_s: int
    longest_s: int
    longest_at: int
    milli_s: int
    extreme_milli: int
    extreme_at: int
    hard_milli: int

    @property
    def past_hard(self) -> bool:
        """Say whether the hard limit was passed at all."""
        if MISSING in (self.hard_milli, self.extreme_milli):
            return False
        if self.kind is FindingKind.BELOW_TARGET:
            return self.extreme_milli < self.hard_milli
        return self.extreme_milli > self.hard_milli


def judge_conditions(
    facts: NightFacts, plan: Plan, conditions: NightConditions
) -> tuple[Seen, ...]:
    """Compare a night's conditions with every judged animal's targets.

    Args:
        facts: what is known of the night.
        plan: who is judged by which band.
        conditions: what the readings add up to.

    Returns:
        At most one sighting for each animal, side, quantity, zone and period: of
        several probes the one that shows most; undecided where one of them could
        not show that all was well and none showed what was wrong.

    Source:
        review-conventions (ADR 0007).
    """
    worst: dict[str, Seen] = {}
    for row in _rows_worth_a_look(conditions):
        quantity = QUANTITIES[int(conditions.quantity[row])]
        lane = (int(conditions.probe[row]), quantity, int(conditions.band[row]))
        for judgement in plan.judged.get(lane, ()):
            for seen in _judge(facts, conditions, int(row), judgement):
                known = worst.get(seen.key)
                if known is None or _rank(seen) < _rank(known):
                    worst[seen.key] = seen
    return tuple(worst.values())


def _rows_worth_a_look(c: NightConditions) -> np.ndarray[tuple[int], np.dtype[np.intp]]:
    """Return the rows with time outside the band or with too little covered."""
    thin = c.covered_s < DECIDED_FROM_SHARE * c.expected_s
    return np.flatnonzero((c.below_s > 0) | (c.above_s > 0) | thin)


def _rank(seen: Seen) -> tuple[bool, int, float]:
    return (
        not seen.decided,
        URGENCY_ORDER[seen.urgency],
        -float(seen.evidence.get("outside_s", 0)),
    )


def _judge(
    facts: NightFacts, c: NightConditions, row: int, judgement: Judgement
) -> Iterator[Seen]:
    period = PERIODS[int(c.period[row])]
    target = judgement.wanted.of(period)
    if target is None or c.expected_s[row] == 0:
        return
    for side in _sides(c, row, target):
        outside_min = side.outside_s / 60
        if outside_min > target.tolerated_minutes or side.past_hard:
            yield _seen(facts, c, row, judgement, target, side)
        elif c.covered_s[row] < DECIDED_FROM_SHARE * c.expected_s[row]:
            yield _undecided(judgement, target, side.kind)


def _sides(c: NightConditions, row: int, target: ResolvedTarget) -> Iterator[_Side]:
    if target.low is not None:
        yield _Side(
            FindingKind.BELOW_TARGET,
            int(c.below_s[row]),
            int(c.longest_below_s[row]),
            int(c.longest_below_at[row]),
            int(c.below_milli_s[row]),
            int(c.lowest_milli[row]),
            int(c.lowest_at[row]),
            milli(target.hard_low),
        )
    if target.high is not None:
        yield _Side(
            FindingKind.ABOVE_TARGET,
            int(c.above_s[row]),
            int(c.longest_above_s[row]),
            int(c.longest_above_at[row]),
            int(c.above_milli_s[row]),
            int(c.highest_milli[row]),
            int(c.highest_at[row]),
            milli(target.hard_high),
        )


def _key(judgement: Judgement, target: ResolvedTarget, kind: FindingKind) -> str:
    return key_of(
        kind,
        "animal",
        judgement.plan.animal.id,
        target.quantity.value,
        target.zone.value,
        target.period.value,
    )


def _urgency(side: _Side, covered_s: int) -> Urgency:
    if side.past_hard:
        return Urgency.NOW
    if side.outside_s > TODAY_FROM_SHARE * covered_s:
        return Urgency.TODAY
    return Urgency.WATCH


def _undecided(judgement: Judgement, target: ResolvedTarget, kind: FindingKind) -> Seen:
    return Seen(
        key=_key(judgement, target, kind),
        kind=kind,
        urgency=Urgency.WATCH,
        decided=False,
        animal=judgement.plan.animal.id,
        enclosure=judgement.stay.enclosure,
        probe=None,
        evidence={},
    )


def _seen(
    facts: NightFacts,
    c: NightConditions,
    row: int,
    judgement: Judgement,
    target: ResolvedTarget,
    side: _Side,
) -> Seen:
    probe = facts.probes[int(c.probe[row])]
    return Seen(
        key=_key(judgement, target, side.kind),
        kind=side.kind,
        urgency=_urgency(side, int(c.covered_s[row])),
        decided=True,
        animal=judgement.plan.animal.id,
        enclosure=probe.enclosure,
        probe=probe.id,
        evidence={
            **evidence.of_animal(
                judgement.plan.animal, facts.enclosures[probe.enclosure]
            ),
            "probe": probe.code,
            **_measured(facts, c, row, judgement),
            **_wanted(target, judgement, side),
            **_outside(facts, side),
        },
    )


def _measured(
    facts: NightFacts, c: NightConditions, row: int, judgement: Judgement
) -> Json:
    day_s = facts.day.end_s - facts.day.start_s
    return {
        "mean": round(float(c.mean()[row]), 3) if c.covered_s[row] else None,
        "lowest": _value(int(c.lowest_milli[row])),
        "highest": _value(int(c.highest_milli[row])),
        "readings": int(c.readings[row]),
        "covered_s": int(c.covered_s[row]),
        "expected_s": int(c.expected_s[row]),
        "stayed_s": None if judgement.stay.seconds == day_s else judgement.stay.seconds,
    }


def _wanted(target: ResolvedTarget, judgement: Judgement, side: _Side) -> Json:
    profile = judgement.plan.profile
    return {
        "quantity": target.quantity.value,
        "zone": target.zone.value,
        "period": target.period.value,
        "low": evidence.number(target.low),
        "high": evidence.number(target.high),
        "hard": None if side.hard_milli == MISSING else side.hard_milli / 1000,
        "tolerated_s": 60 * target.tolerated_minutes,
        "basis": evidence.basis(target, profile.version if profile else 0),
    }


def _outside(facts: NightFacts, side: _Side) -> Json:
    return {
        "outside_s": side.outside_s,
        "longest_s": side.longest_s,
        "longest_from": evidence.local(side.longest_at, facts)
        if side.longest_s
        else None,
        "extreme_at": evidence.local(side.extreme_at, facts),
        "unit_minutes": round(side.milli_s / 60_000, 1),
        "past_hard": side.past_hard,
    }


def _value(milli_value: int) -> float | None:
    return None if milli_value == MISSING else milli_value / 1000
