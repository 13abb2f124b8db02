"""Looking again, and results that should be there (care-task-convention)."""

from datetime import UTC, date, datetime
from typing import Any

import pytest

from husbandry.rules.care.facts import TestFact
from husbandry.rules.care.follow_ups import awaited_result_tasks, follow_up_tasks
from husbandry.rules.care.tasks import CareTask, LookPlan
from husbandry.rules.vocabulary import (
    HealthTestKind,
    HealthTestResult,
    ObservationKind,
    Observed,
    TaskKind,
)
from tests.rules.care.cared import animal, observation

SEEN_ON, AGAIN_ON = date(2026, 3, 1), date(2026, 3, 4)
SEEN = observation(1, SEEN_ON, look_again_on=AGAIN_ON)


@pytest.mark.parametrize(
    ("later", "done_on"),
    [
        ([], None),
        ([observation(2, date(2026, 3, 3))], None),
        ([observation(2, AGAIN_ON)], AGAIN_ON),
        (
            [
                observation(2, date(2026, 3, 3)),
                observation(3, date(2026, 3, 9)),
                observation(4, date(2026, 3, 10)),
            ],
            date(2026, 3, 9),
        ),
    ],
)
def test_any_later_look_on_or_after_the_day_closes_it(
    later: list[Any], done_on: date | None
) -> None:
    cared = animal(observations=(SEEN, *later))

    tasks = follow_up_tasks(cared, from_on=AGAIN_ON, until_on=AGAIN_ON)

    assert tasks == (
        CareTask(
            key="follow_up:animal:1:2026-03-04:1",
            kind=TaskKind.FOLLOW_UP,
            due_on=AGAIN_ON,
            due_at=None,
            animal=1,
            enclosure=None,
            room=None,
            plan=LookPlan(1, SEEN_ON, "note"),
            done_on=done_on,
            rule_id="",
            provenance=None,
        ),
    )


def test_the_look_itself_does_not_close_what_it_asks_for() -> None:
    # Look again today: what asks for it was seen today too.
    seen = observation(1, SEEN_ON, look_again_on=SEEN_ON)
    evening = observation(
        2, SEEN_ON, at=datetime(2026, 3, 1, 20, tzinfo=UTC), look_again_on=AGAIN_ON
    )

    days = {"from_on": SEEN_ON, "until_on": date(2026, 3, 31)}
    (alone,) = follow_up_tasks(animal(observations=(seen,)), **days)
    both = follow_up_tasks(animal(observations=(seen, evening)), **days)

    assert alone.done_on is None
    assert [(t.due_on, t.done_on) for t in both] == [
        (SEEN_ON, SEEN_ON),
        (AGAIN_ON, None),
    ]


@pytest.mark.parametrize(
    ("changes", "text"),
    [
        (
            {
                "kind": ObservationKind.SIGN,
                "sign": "sign-dark",
                "observed": Observed.PRESENT,
                "note": "since noon",
            },
            "Dark stripes. (present): since noon",
        ),
        (
            {"kind": ObservationKind.SIGN, "sign": "sign-unknown"},
            "sign-unknown",
        ),
        (
            {"kind": ObservationKind.SHED, "observed": Observed.IN_PATCHES},
            "shed (in patches)",
        ),
    ],
)
def test_the_plan_says_what_was_seen(changes: dict[str, Any], text: str) -> None:
    seen = observation(1, SEEN_ON, look_again_on=AGAIN_ON, **changes)

    (task,) = follow_up_tasks(
        animal(observations=(seen,)), from_on=AGAIN_ON, until_on=AGAIN_ON
    )

    assert task.plan == LookPlan(1, SEEN_ON, text)


@pytest.mark.parametrize(
    ("expected_on", "result", "result_on", "tasks"),
    [
        (None, HealthTestResult.AWAITED, None, []),
        (date(2026, 3, 9), HealthTestResult.AWAITED, None, [None]),
        (
            date(2026, 3, 9),
            HealthTestResult.NOTHING_FOUND,
            date(2026, 3, 12),
            [date(2026, 3, 12)],
        ),
        (date(2026, 3, 8), HealthTestResult.AWAITED, None, []),
        (date(2026, 3, 10), HealthTestResult.AWAITED, None, []),
    ],
)
def test_a_result_is_asked_for_on_its_day(
    expected_on: date | None,
    result: HealthTestResult,
    result_on: date | None,
    tasks: list[date | None],
) -> None:
    test = TestFact(
        id=7,
        kind=HealthTestKind.FAECAL,
        taken_on=SEEN_ON,
        expected_on=expected_on,
        result=result,
        result_on=result_on,
        finding="",
        seen_by_vet_on=None,
    )

    found = awaited_result_tasks(
        animal(tests=(test,)), from_on=date(2026, 3, 9), until_on=date(2026, 3, 9)
    )

    assert [task.done_on for task in found] == tasks
    assert [task.plan for task in found] == [
        LookPlan(7, SEEN_ON, "faecal", HealthTestKind.FAECAL) for _ in tasks
    ]
    assert [task.key for task in found] == [
        "test_result:animal:1:2026-03-09:7" for _ in tasks
    ]
