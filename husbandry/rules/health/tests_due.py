"""Results that are overdue, and results that no vet has taken over."""

from collections.abc import Iterator
from datetime import date

from husbandry.rules.assessments import Assessment
from husbandry.rules.care.facts import CaredAnimal, TestFact
from husbandry.rules.health.conventions import CARE_TASKS
from husbandry.rules.vocabulary import FindingKind, HealthTestResult, Urgency


def assess_tests(animal: CaredAnimal, *, on: date) -> Iterator[Assessment]:
    """Tell what a test found until a vet saw it, and results that did not come.

    A result is overdue from the day after the one by which it was expected; without
    such a day it never is.

    Args:
        animal: with its tests.
        on: the local day; what became known later is not known yet.

    Source:
        care-task-convention.
    """
    for test in animal.tests:
        if test.taken_on > on:
            continue
        known = test.result_on is not None and test.result_on <= on
        if not known:
            yield from _overdue(animal, test, on=on)
        elif test.result is HealthTestResult.FOUND and not _seen(test, on=on):
            yield _about(
                animal,
                test,
                FindingKind.TEST_FOUND,
                Urgency.TODAY,
                {"result_on": _iso(test.result_on), "finding": test.finding},
            )


def _overdue(animal: CaredAnimal, test: TestFact, *, on: date) -> Iterator[Assessment]:
    if test.expected_on is None or on <= test.expected_on:
        return
    yield _about(
        animal,
        test,
        FindingKind.TEST_OVERDUE,
        Urgency.WATCH,
        {"expected_on": _iso(test.expected_on), "days": (on - test.expected_on).days},
    )


def _seen(test: TestFact, *, on: date) -> bool:
    return test.seen_by_vet_on is not None and test.seen_by_vet_on <= on


def _about(
    animal: CaredAnimal,
    test: TestFact,
    kind: FindingKind,
    urgency: Urgency,
    found: dict[str, object],
) -> Assessment:
    return Assessment(
        kind,
        urgency,
        {
            "test": test.id,
            "test_kind": test.kind.value,
            "taken_on": _iso(test.taken_on),
            **found,
        },
        provenance=CARE_TASKS,
        detail=(str(test.id),),
        animal=animal.id,
    )


def _iso(on: date | None) -> str | None:
    return on.isoformat() if on else None
