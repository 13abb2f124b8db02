"""The criteria of quarantine in words."""

from collections.abc import Mapping
from datetime import date
from typing import Any

import pytest

from placements.rules.quarantine.telling import tell, tell_exposure
from placements.rules.quarantine.values import CriterionState, Exposure
from placements.rules.vocabulary import Criterion

DAYS = {
    "days": 1,
    "days_wanted": 30,
    "clock_from": "2025-01-20",
    "earliest_on": "2025-02-19",
}
TESTS = {
    "kind": "faecal",
    "wanted": 3,
    "apart_days": 14,
    "since": "2025-01-20",
    "without_findings": ["2025-01-21"],
    "found": [],
    "awaited": [],
}
WEIGHT = {
    "days": 14,
    "most_loss_pct": 5.0,
    "weighings": 2,
    "reach_days": 14,
    "from": {"on": "2025-02-16", "mass_g": 80.5},
    "to": {"on": "2025-03-02", "mass_g": 80.0},
    "change_pct": -0.6,
}
SICK = {"kind": "sign_seen", "opened_on": "2025-02-20", "urgency": "now", "id": 1}


@pytest.mark.parametrize(
    ("criterion", "asked", "met", "evidence", "words"),
    [
        (
            *(Criterion.DAYS, True, False, DAYS),
            "1 day since 20 Jan 2025 of at least 30; the earliest day is 19 Feb 2025.",
        ),
        (
            *(Criterion.DAYS, True, True, {**DAYS, "days": 31}),
            "31 days since 20 Jan 2025; at least 30 are asked for.",
        ),
        (
            *(Criterion.DAYS, False, True, DAYS),
            "1 day since 20 Jan 2025; the policy asks for none.",
        ),
        (
            *(Criterion.TESTS, True, False, TESTS),
            "1 of 3 faecal tests without findings, one after the other, taken since 20 "
            "Jan 2025 and at least 14 days apart (21 Jan 2025).",
        ),
        (
            Criterion.TESTS,
            True,
            None,
            {
                **TESTS,
                "apart_days": 0,
                "without_findings": [],
                "found": ["2025-01-22"],
                "awaited": ["2025-02-05", "2025-02-19"],
            },
            "0 of 3 faecal tests without findings, one after the other, taken since 20 "
            "Jan 2025. Something was found on 22 Jan 2025. The result of 05 Feb 2025, "
            "19 Feb 2025 is awaited: not known yet.",
        ),
        (
            *(Criterion.TESTS, False, True, TESTS),
            "No tests are asked for by the policy. Days alone are weaker than tests: "
            "they clear nobody of what does not show. Agree with a licensed reptile "
            "vet on which tests to ask for.",
        ),
        (
            *(Criterion.WEIGHT, True, True, WEIGHT),
            "−0.6 % against the heaviest before, from 80.5 g on 16 Feb 2025 to 80.0 g on "
            "02 Mar 2025; asked for over the last 14 days, at most 5 % of loss.",
        ),
        (
            Criterion.WEIGHT,
            True,
            None,
            {**WEIGHT, "weighings": 1, "from": None, "to": None, "change_pct": None},
            "Not known: 1 weighing in the last 14 days; two at least are needed.",
        ),
        (
            *(Criterion.WEIGHT, True, None, {**WEIGHT, "reach_days": 6}),
            "Not known: 2 weighings reach over 6 days only (−0.6 % against the heaviest "
            "before, from 80.5 g on 16 Feb 2025 to 80.0 g on 02 Mar 2025); half of 14 "
            "days is needed.",
        ),
        (
            *(Criterion.WEIGHT, False, True, WEIGHT),
            "A steady weight is not asked for by the policy.",
        ),
        (
            *(Criterion.HEALTH, True, True, {"night": "2025-03-01", "findings": []}),
            "No finding about its health stood open after the night of 01 Mar 2025.",
        ),
        (
            *(Criterion.HEALTH, True, False, {"night": None, "findings": [SICK]}),
            "Findings about its health stand open: sign seen since 20 Feb 2025.",
        ),
        (
            *(Criterion.HEALTH, True, None, {"night": "2025-02-01", "findings": []}),
            "Not known: no recent night was reviewed where it lives; the last was 01 "
            "Feb 2025.",
        ),
        (
            *(Criterion.HEALTH, True, None, {"night": None, "findings": []}),
            "Not known: no recent night was reviewed where it lives; none was.",
        ),
    ],
)
def test_a_criterion_tells_its_evidence(
    criterion: Criterion,
    asked: bool,
    met: bool | None,
    evidence: Mapping[str, Any],
    words: str,
) -> None:
    state = CriterionState(criterion, asked=asked, met=met, evidence=evidence)

    assert tell(state) == words


def test_an_exposure_tells_whom_it_met() -> None:
    met = Exposure(date(2025, 1, 20), 2, "V-2", "Arrivals")

    assert tell_exposure(met) == (
        "20 Jan 2025: it met V-2 in Arrivals; both were in quarantine."
    )
