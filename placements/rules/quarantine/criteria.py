"""What has to be so before quarantine ends: days, tests, weight, health."""

from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from husbandry.rules.vocabulary import FindingKind, HealthTestResult
from placements.rules.quarantine.clock import clock_restarts_on, earliest_end_on
from placements.rules.quarantine.policies import QuarantineRule
from placements.rules.quarantine.values import (
    CriterionState,
    MassFact,
    QuarantineFacts,
    SampleFact,
)
from placements.rules.vocabulary import Criterion

K = FindingKind
# Findings that say, or may say, that an animal is not well.
ABOUT_HEALTH = frozenset(
    {
        *(K.SIGN_SEEN, K.LAYING_TROUBLE, K.TEST_FOUND, K.TEST_OVERDUE),
        *(K.WEIGHT_LOSS, K.GROWTH_STALLED, K.GROWTH_BEHIND, K.WEIGHT_OUT_OF_BAND),
        *(K.FOOD_REFUSED, K.DOSE_MISSED, K.DOSE_UNSAFE, K.FOLLOW_UP_OVERDUE),
    }
)
# A night older than this says nothing about how the animal is now.
REVIEW_MAX_AGE = timedelta(days=2)


def judge_criteria(
    facts: QuarantineFacts, rule: QuarantineRule, *, on: date
) -> tuple[CriterionState, ...]:
    """Say of each criterion whether it is met at the end of a local day, and why.

    Args:
        facts: of one animal; what is dated after `on` is passed over.
        rule: the policy of its species.
        on: the day.

    Returns:
        Days, tests, weight and health, in this order. What the policy does not ask
        for counts as met and says that it was not asked. Where nothing is known of
        what it asks for, it is neither met nor unmet, and does not let an animal out.

    Source:
        quarantine-guidance for days, quarantine-practice for tests at intervals,
        van-zanten-2021 for why days alone do not do, weight-loss-convention for the
        shipped loss, quarantine-convention for what counts as known.
    """
    exposures = (e for e in facts.exposures if e.on <= on)
    clock_from = clock_restarts_on(facts.began_on, exposures)
    # A sample taken on the day of a meeting says nothing about that meeting.
    restarted = clock_from > facts.began_on
    since = clock_from + timedelta(days=1) if restarted else clock_from
    tests = [t for t in facts.tests if since <= t.taken_on <= on]
    return (
        _days(facts, rule, clock_from=clock_from, on=on),
        _tests(tests, rule, since=since),
        _weight(facts.weighings, rule, on=on),
        _health(facts, on=on),
    )


def _days(
    facts: QuarantineFacts, rule: QuarantineRule, *, clock_from: date, on: date
) -> CriterionState:
    earliest_on = earliest_end_on(clock_from, days=rule.days)
    evidence: dict[str, Any] = {
        "began_on": facts.began_on.isoformat(),
        "clock_from": clock_from.isoformat(),
        "days": (on - clock_from).days,
        "days_wanted": rule.days,
        "earliest_on": earliest_on.isoformat(),
        "restarted_by": [
            {"on": e.on.isoformat(), "animal": e.code, "room": e.room}
            for e in sorted(facts.exposures, key=lambda e: (e.on, e.code))
            if e.on <= on
        ],
    }
    return CriterionState(
        Criterion.DAYS, asked=rule.days > 0, met=on >= earliest_on, evidence=evidence
    )


def _tests(
    tests: Sequence[SampleFact], rule: QuarantineRule, *, since: date
) -> CriterionState:
    clear, found = _in_a_row(tests, apart=timedelta(days=rule.tests_apart_days))
    awaited = sorted(t.taken_on for t in tests if t.result is HealthTestResult.AWAITED)
    met: bool | None = len(clear) >= rule.tests
    if rule.tests and awaited:
        met = None  # its result may undo the others
    evidence = {
        "kind": rule.test_kind.value,
        "wanted": rule.tests,
        "apart_days": rule.tests_apart_days,
        "since": since.isoformat(),
        "without_findings": [day.isoformat() for day in clear],
        "awaited": [day.isoformat() for day in awaited],
        "found": [day.isoformat() for day in found],
    }
    return CriterionState(
        Criterion.TESTS, asked=rule.tests > 0, met=met, evidence=evidence
    )


def _in_a_row(
    tests: Sequence[SampleFact], *, apart: timedelta
) -> tuple[list[date], list[date]]:
    """Return the days of tests without findings since the last with, and of those."""
    clear: list[date] = []
    found: list[date] = []
    # Of one day's samples the one that found something comes last and counts.
    for test in sorted(
        tests, key=lambda t: (t.taken_on, t.result is HealthTestResult.FOUND)
    ):
        if test.result is HealthTestResult.FOUND:
            clear = []
            found.append(test.taken_on)
        elif test.result is HealthTestResult.NOTHING_FOUND and (
            not clear or test.taken_on - clear[-1] >= max(apart, timedelta(days=1))
        ):
            clear.append(test.taken_on)
    return clear, found


def _weight(
    weighings: Sequence[MassFact], rule: QuarantineRule, *, on: date
) -> CriterionState:
    since = on - timedelta(days=rule.weight_days)
    told = sorted(
        (w for w in weighings if since <= w.on <= on), key=lambda w: (w.on, -w.mass_g)
    )
    change_pct = change_since_heaviest_pct(told)
    reach = (told[-1].on - told[0].on).days if told else 0
    met: bool | None = None
    if change_pct is not None and 2 * reach >= rule.weight_days:
        met = change_pct >= -rule.most_loss_pct
    if not rule.weight_days:
        met = True
    evidence = {
        "days": rule.weight_days,
        "most_loss_pct": float(rule.most_loss_pct),
        "weighings": len(told),
        "reach_days": reach,
        "from": _told(told[0]) if told else None,
        "to": _told(told[-1]) if told else None,
        "change_pct": None if change_pct is None else float(round(change_pct, 1)),
    }
    return CriterionState(
        Criterion.WEIGHT, asked=rule.weight_days > 0, met=met, evidence=evidence
    )


def change_since_heaviest_pct(weighings: Sequence[MassFact]) -> Decimal | None:
    """Return how the last weighing compares with the heaviest before it, percent.

    Args:
        weighings: oldest first.

    Returns:
        Below zero where mass was lost; None for fewer than two weighings.
    """
    if len(weighings) < 2:
        return None
    heaviest_g = max(w.mass_g for w in weighings[:-1])
    return (weighings[-1].mass_g - heaviest_g) / heaviest_g * 100


def _told(weighing: MassFact) -> dict[str, Any]:
    return {"on": weighing.on.isoformat(), "mass_g": float(weighing.mass_g)}


def _health(facts: QuarantineFacts, *, on: date) -> CriterionState:
    ill = sorted(
        (f for f in facts.findings if f.kind in ABOUT_HEALTH),
        key=lambda f: (f.opened_on, f.kind, f.id),
    )
    reviewed_on = facts.reviewed_on
    met: bool | None = not ill
    if met and (reviewed_on is None or reviewed_on < on - REVIEW_MAX_AGE):
        met = None  # nobody has looked: silence is not health
    evidence = {
        "night": reviewed_on.isoformat() if reviewed_on else None,
        "findings": [
            {
                "id": f.id,
                "kind": f.kind.value,
                "urgency": f.urgency.value,
                "opened_on": f.opened_on.isoformat(),
            }
            for f in ill
        ],
    }
    return CriterionState(Criterion.HEALTH, asked=True, met=met, evidence=evidence)
