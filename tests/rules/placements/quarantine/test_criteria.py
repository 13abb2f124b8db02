"""What has to be so before quarantine ends: tables worked out by hand.

Days by AZA guidance and Miller (1996); tests one after the other at intervals are
reptile practice; which loss is still steady is common practice, no source.
"""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from husbandry.rules.vocabulary import (
    FindingKind,
    HealthTestKind,
    HealthTestResult,
    Urgency,
)
from placements.rules.quarantine.criteria import (
    ABOUT_HEALTH,
    change_since_heaviest_pct,
    judge_criteria,
)
from placements.rules.quarantine.policies import SHIPPED
from placements.rules.quarantine.values import (
    CriterionState,
    Exposure,
    MassFact,
    OpenFinding,
    QuarantineFacts,
    SampleFact,
)
from placements.rules.vocabulary import Criterion
from tests.rules.placements.quarantine.made import day

R = HealthTestResult
THREE_TESTS = replace(SHIPPED, tests=3, tests_apart_days=14)
ON = day(60)


def judged(
    criterion: Criterion,
    facts: QuarantineFacts,
    rule: Any = SHIPPED,
    on: date = ON,
) -> CriterionState:
    states = judge_criteria(facts, rule, on=on)

    assert [s.criterion for s in states] == list(Criterion)
    return next(s for s in states if s.criterion is criterion)


def began(**more: Any) -> QuarantineFacts:
    return QuarantineFacts(began_on=day(0), **more)


# Days.


@pytest.mark.parametrize(("number", "met"), [(29, False), (30, True), (31, True)])
def test_thirty_days_have_to_pass(number: int, met: bool) -> None:
    state = judged(Criterion.DAYS, began(), on=day(number))

    assert state == CriterionState(
        Criterion.DAYS,
        asked=True,
        met=met,
        evidence={
            "began_on": "2025-01-01",
            "clock_from": "2025-01-01",
            "days": number,
            "days_wanted": 30,
            "earliest_on": "2025-01-31",
            "restarted_by": [],
        },
    )


def test_a_newcomer_moves_the_day() -> None:
    met = Exposure(date(2025, 1, 20), 2, "V-2", "Arrivals")
    later = Exposure(date(2025, 3, 9), 3, "V-3", "Arrivals")

    for on, expected in ((date(2025, 2, 18), False), (date(2025, 2, 19), True)):
        state = judged(Criterion.DAYS, began(exposures=(later, met)), on=on)
        assert state.met is expected
        assert state.evidence["earliest_on"] == "2025-02-19"
        assert state.evidence["restarted_by"] == [
            {"on": "2025-01-20", "animal": "V-2", "room": "Arrivals"}
        ]


# Tests.


@pytest.mark.parametrize(
    ("tests", "met", "counted"),
    [
        ([], False, []),
        ([(5, R.NOTHING_FOUND), (19, R.NOTHING_FOUND)], False, [5, 19]),
        (
            [(5, R.NOTHING_FOUND), (19, R.NOTHING_FOUND), (33, R.NOTHING_FOUND)],
            True,
            [5, 19, 33],
        ),
        # A day too near to the one before does not count, and breaks nothing.
        (
            [
                *((5, R.NOTHING_FOUND), (18, R.NOTHING_FOUND)),
                *((19, R.NOTHING_FOUND), (33, R.NOTHING_FOUND)),
            ],
            True,
            [5, 19, 33],
        ),
        (
            [(5, R.NOTHING_FOUND), (19, R.NOTHING_FOUND), (32, R.NOTHING_FOUND)],
            False,
            [5, 19],
        ),
        # Something found: again from the start.
        (
            [
                *((5, R.NOTHING_FOUND), (19, R.FOUND)),
                *((33, R.NOTHING_FOUND), (47, R.NOTHING_FOUND)),
            ],
            False,
            [33, 47],
        ),
        # Two samples of one day: what one found counts.
        ([(33, R.FOUND), (33, R.NOTHING_FOUND)], False, []),
        # Awaited: not known, whatever the others say.
        (
            [
                *((5, R.NOTHING_FOUND), (19, R.NOTHING_FOUND)),
                *((33, R.NOTHING_FOUND), (40, R.AWAITED)),
            ],
            None,
            [5, 19, 33],
        ),
        # From before it was kept apart, or after the day asked about.
        (
            [
                *((-1, R.NOTHING_FOUND), (5, R.NOTHING_FOUND)),
                *((19, R.NOTHING_FOUND), (61, R.NOTHING_FOUND)),
            ],
            False,
            [5, 19],
        ),
        # On the first day itself: a sample taken on arrival counts.
        (
            [(0, R.NOTHING_FOUND), (14, R.NOTHING_FOUND), (28, R.NOTHING_FOUND)],
            True,
            [0, 14, 28],
        ),
    ],
)
def test_three_tests_without_findings_one_after_the_other(
    tests: list[tuple[int, HealthTestResult]], met: bool | None, counted: list[int]
) -> None:
    facts = tuple(SampleFact(day(number), result) for number, result in tests)

    for given in (facts, facts[::-1]):
        state = judged(Criterion.TESTS, began(tests=given), THREE_TESTS)
        assert (state.asked, state.met) == (True, met)
        assert state.evidence["without_findings"] == [
            day(number).isoformat() for number in counted
        ]


def test_tests_from_before_a_restart_say_nothing() -> None:
    tests = tuple(
        SampleFact(day(number), R.NOTHING_FOUND) for number in (5, 19, 20, 34, 48)
    )
    met = Exposure(day(19), 2, "V-2", "Arrivals")

    state = judged(Criterion.TESTS, began(tests=tests, exposures=(met,)), THREE_TESTS)

    assert state.met is True
    assert state.evidence == {
        "kind": HealthTestKind.FAECAL.value,
        "wanted": 3,
        "apart_days": 14,
        "since": "2025-01-21",
        "without_findings": ["2025-01-21", "2025-02-04", "2025-02-18"],
        "awaited": [],
        "found": [],
    }


def test_tests_that_nobody_asks_for_are_said_not_to_be() -> None:
    awaited = SampleFact(day(3), R.AWAITED)

    state = judged(Criterion.TESTS, began(tests=(awaited,)))

    assert (state.asked, state.met) == (False, True)


# Weight: 14 days, at most 5 % lost.


@pytest.mark.parametrize(
    ("weighings", "met", "change_pct"),
    [
        ([], None, None),
        ([(60, "100")], None, None),
        # Two on one week of two: half of the days is enough, less is not.
        ([(53, "100"), (60, "100")], True, 0.0),
        ([(54, "100"), (60, "100")], None, 0.0),
        # Exactly at the limit, and just over.
        ([(46, "100"), (60, "95")], True, -5.0),
        ([(46, "100"), (60, "94.9")], False, -5.1),
        # Against the heaviest, not the first: a rise does not hide a fall.
        ([(46, "100"), (53, "120"), (60, "104")], False, -13.3),
        ([(46, "100"), (53, "98"), (60, "110")], True, 10.0),
        # Out of the days asked about.
        ([(45, "200"), (46, "100"), (60, "100")], True, 0.0),
        ([(46, "100"), (60, "100"), (61, "10")], True, 0.0),
        # Only old ones.
        ([(20, "100"), (30, "100")], None, None),
    ],
)
def test_weight_has_to_be_steady(
    weighings: list[tuple[int, str]], met: bool | None, change_pct: float | None
) -> None:
    facts = tuple(MassFact(day(number), Decimal(mass)) for number, mass in weighings)

    for given in (facts, facts[::-1]):
        state = judged(Criterion.WEIGHT, began(weighings=given))
        assert (state.asked, state.met) == (True, met)
        assert state.evidence["change_pct"] == change_pct


def test_weight_says_from_what_to_what() -> None:
    weighings = (MassFact(day(46), Decimal("80.5")), MassFact(day(60), Decimal(80)))

    state = judged(Criterion.WEIGHT, began(weighings=weighings))

    assert state.evidence == {
        "days": 14,
        "most_loss_pct": 5.0,
        "weighings": 2,
        "reach_days": 14,
        "from": {"on": "2025-02-16", "mass_g": 80.5},
        "to": {"on": "2025-03-02", "mass_g": 80.0},
        "change_pct": -0.6,
    }


def test_weight_that_nobody_asks_for_counts_as_met() -> None:
    state = judged(Criterion.WEIGHT, began(), replace(SHIPPED, weight_days=0))

    assert (state.asked, state.met) == (False, True)


def test_a_change_is_told_against_the_heaviest_before() -> None:
    def told(*masses: int) -> Decimal | None:
        return change_since_heaviest_pct([MassFact(ON, Decimal(m)) for m in masses])

    assert told() is None
    assert told(100) is None
    assert told(100, 80, 90) == Decimal(-10)


# Health.


def finding(kind: FindingKind, number: int = 1) -> OpenFinding:
    return OpenFinding(number, kind, Urgency.WATCH, day(50))


@pytest.mark.parametrize(
    ("night", "findings", "met"),
    [
        (59, [], True),
        (58, [], True),
        (57, [], None),
        (None, [], None),
        (59, [FindingKind.SIGN_SEEN], False),
        (57, [FindingKind.WEIGHT_LOSS], False),
        (59, [FindingKind.BELOW_TARGET, FindingKind.QUARANTINE_BROKEN], True),
    ],
)
def test_no_finding_about_health_may_stand_open(
    night: int | None, findings: list[FindingKind], met: bool | None
) -> None:
    facts = began(
        reviewed_on=None if night is None else day(night),
        findings=tuple(finding(kind) for kind in findings),
    )

    assert judged(Criterion.HEALTH, facts).met is met


def test_health_says_which_findings_stand_open() -> None:
    facts = began(
        reviewed_on=day(59),
        findings=(finding(FindingKind.SIGN_SEEN, 5), finding(FindingKind.FOOD_REFUSED)),
    )

    assert judged(Criterion.HEALTH, facts).evidence == {
        "night": "2025-03-01",
        "findings": [
            {
                "id": 1,
                "kind": "food_refused",
                "urgency": "watch",
                "opened_on": "2025-02-20",
            },
            {
                "id": 5,
                "kind": "sign_seen",
                "urgency": "watch",
                "opened_on": "2025-02-20",
            },
        ],
    }


def test_quarantine_itself_is_no_matter_of_health() -> None:
    assert FindingKind.QUARANTINE_BROKEN not in ABOUT_HEALTH
    assert FindingKind.QUARANTINE_READY not in ABOUT_HEALTH
