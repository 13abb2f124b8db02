"""Results that did not come, and results that no vet has seen."""

from datetime import date
from typing import Any

import pytest

from husbandry.rules.care.facts import TestFact
from husbandry.rules.health.tests_due import assess_tests
from husbandry.rules.vocabulary import (
    FindingKind,
    HealthTestKind,
    HealthTestResult,
    Urgency,
)
from tests.rules.health.facts import TODAY, animal

FOUND = {
    "result": HealthTestResult.FOUND,
    "result_on": date(2026, 3, 1),
    "finding": "Oocysts, few",
}


def taken(**changes: Any) -> TestFact:
    given: dict[str, Any] = {
        "id": 4,
        "kind": HealthTestKind.FAECAL,
        "taken_on": date(2026, 2, 20),
        "expected_on": date(2026, 3, 1),
        "result": HealthTestResult.AWAITED,
        "result_on": None,
        "finding": "",
        "seen_by_vet_on": None,
    }
    return TestFact(**(given | changes))


def kinds(**changes: Any) -> list[FindingKind]:
    return [a.kind for a in assess_tests(animal(tests=(taken(**changes),)), on=TODAY)]


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({}, [FindingKind.TEST_OVERDUE]),
        ({"expected_on": TODAY}, []),
        ({"expected_on": None}, []),
        ({"taken_on": date(2026, 3, 3)}, []),
        (FOUND, [FindingKind.TEST_FOUND]),
        (FOUND | {"result": HealthTestResult.NOTHING_FOUND}, []),
        (FOUND | {"seen_by_vet_on": TODAY}, []),
        (FOUND | {"seen_by_vet_on": date(2026, 3, 3)}, [FindingKind.TEST_FOUND]),
        # It came only on the day after.
        (FOUND | {"result_on": date(2026, 3, 3)}, [FindingKind.TEST_OVERDUE]),
    ],
)
def test_result_is_told_until_a_vet_has_it(
    changes: dict[str, Any], expected: list[FindingKind]
) -> None:
    assert kinds(**changes) == expected


def test_overdue_result_says_by_when_it_was_expected() -> None:
    (found,) = assess_tests(animal(tests=(taken(),)), on=TODAY)

    assert (found.urgency, found.animal, found.detail) == (Urgency.WATCH, 1, ("4",))
    assert found.facts == {
        "test": 4,
        "test_kind": "faecal",
        "taken_on": "2026-02-20",
        "expected_on": "2026-03-01",
        "days": 1,
    }


def test_what_was_found_is_told_in_the_laboratorys_words() -> None:
    (found,) = assess_tests(animal(tests=(taken(**FOUND),)), on=TODAY)

    assert (found.urgency, found.detail) == (Urgency.TODAY, ("4",))
    assert found.facts == {
        "test": 4,
        "test_kind": "faecal",
        "taken_on": "2026-02-20",
        "result_on": "2026-03-01",
        "finding": "Oocysts, few",
    }
