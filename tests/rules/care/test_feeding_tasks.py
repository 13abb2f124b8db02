"""Which feedings fall due, with what, and what closes them; dates worked by hand.

Intervals and portions: common practice, no source. What closes a task is a convention
(care-task-convention).
"""

import itertools
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest

from husbandry.rules.care.due import tasks_of_animal
from husbandry.rules.care.facts import CaredAnimal
from husbandry.rules.care.feeding_tasks import feeder_of_the_day
from husbandry.rules.care.tasks import CareTask, FeedPlan
from husbandry.rules.vocabulary import FeedingOrderKind, TaskKind
from tests.rules.care.cared import (
    ADULT,
    CALCIUM,
    HATCHED_ON,
    LISBON,
    PROFILE,
    SUBADULT,
    VITAMIN_D3,
    YOUNG,
    animal,
    feedings,
    order,
)

DAY = timedelta(1)
FAST, ASSIST = FeedingOrderKind.FAST, FeedingOrderKind.ASSIST
RHYTHM = FeedingOrderKind.RHYTHM


def feeds(cared: CaredAnimal, from_on: date, until_on: date) -> tuple[CareTask, ...]:
    return tuple(
        task
        for task in tasks_of_animal(
            cared, lights_on=time(7), zone=LISBON, from_on=from_on, until_on=until_on
        )
        if task.kind is TaskKind.FEED
    )


def plan(task: CareTask) -> FeedPlan:
    assert isinstance(task.plan, FeedPlan)
    return task.plan


def month_days(tasks: tuple[CareTask, ...]) -> list[str]:
    return [f"{task.due_on:%m-%d}" for task in tasks]


@pytest.mark.parametrize(
    ("from_on", "until_on", "expected"),
    [
        pytest.param(
            "02-23",
            "03-04",
            [
                ("02-23", YOUNG),
                ("02-24", YOUNG),
                ("02-25", YOUNG),
                ("02-26", SUBADULT),
                ("02-28", SUBADULT),
                ("03-02", SUBADULT),
                ("03-04", SUBADULT),
            ],
            id="270 days on 26 February: from daily to every other day",
        ),
        pytest.param(
            "05-28",
            "06-11",
            [
                ("05-29", SUBADULT),
                ("05-31", SUBADULT),
                ("06-01", ADULT),
                ("06-03", ADULT),
                ("06-06", ADULT),
                ("06-08", ADULT),
                ("06-11", ADULT),
            ],
            id="365 days on 1 June: two and three days take turns",
        ),
        pytest.param("06-02", "06-02", [], id="a day without"),
    ],
)
def test_feedings_taper_with_age(
    from_on: str, until_on: str, expected: list[tuple[str, str]]
) -> None:
    tasks = feeds(
        animal(),
        date.fromisoformat(f"2026-{from_on}"),
        date.fromisoformat(f"2026-{until_on}"),
    )

    assert list(zip(month_days(tasks), [t.rule_id for t in tasks], strict=True)) == (
        expected
    )


def test_a_task_says_what_when_and_on_whose_word() -> None:
    (task,) = feeds(animal(), date(2026, 3, 2), date(2026, 3, 2))

    assert task == CareTask(
        key="feed:animal:1:2026-03-02",
        kind=TaskKind.FEED,
        due_on=date(2026, 3, 2),
        # Two hours after lights-on at 07:00, winter time.
        due_at=datetime(2026, 3, 2, 9, tzinfo=UTC),
        animal=1,
        enclosure=None,
        room=None,
        plan=FeedPlan(
            # 2 March 2026 is day 739,677 of the calendar: 3 × 246,559, so the first.
            feeder="roaches",
            feeder_name="Roaches",
            portion_low=10,
            portion_high=12,
            unit="insects",
            supplements=plan(task).supplements,
        ),
        done_on=None,
        rule_id=SUBADULT,
        provenance=PROFILE.feeding[1].provenance,
    )


@pytest.mark.parametrize(
    ("age_days", "expected"),
    [
        # Ordinals 739,677 to 739,680, by three staples: 0, 1, 2, 0 over.
        (100, ["roaches", "crickets", "silkworms", "roaches"]),
        # From 400 days on the fourth staple suits: 1, 2, 3, 0 over.
        (400, ["crickets", "silkworms", "locusts", "roaches"]),
        (None, ["roaches", "crickets", "silkworms", "roaches"]),
    ],
)
def test_staples_take_turns_from_day_to_day(
    age_days: int | None, expected: list[str]
) -> None:
    found = [
        feeder_of_the_day(PROFILE, age_days=age_days, on=date(2026, 3, 2) + n * DAY)
        for n in range(4)
    ]

    assert [staple.id for staple in found if staple] == expected


# Grown from 1 June: due on 1, 3, 6, 8, 11, 13 June and so on.
@pytest.mark.parametrize(
    ("fed", "done"),
    [
        pytest.param([], {1: None, 3: None, 6: None}, id="never"),
        pytest.param([1, 3, 6], {1: 1, 3: 3, 6: 6}, id="on the day"),
        pytest.param([1, 2], {1: 1, 3: 2, 6: None}, id="a day early"),
        pytest.param([1], {1: 1, 3: None, 6: None}, id="fed two days ago: due again"),
        pytest.param([1, 4], {1: 1, 3: 4, 6: None}, id="a day late, before the next"),
        pytest.param([1, 5], {1: 1, 3: 5, 6: 5}, id="late for one, early for the next"),
        pytest.param([7], {1: None, 3: None, 6: 7}, id="late after the next fell due"),
        pytest.param([3, 3, 6], {1: None, 3: 3, 6: 6}, id="twice on one day"),
    ],
)
def test_a_feeding_closes_what_it_serves(
    fed: list[int], done: dict[int, int | None]
) -> None:
    # Arrived on 1 June: what was fed elsewhere is not on record.
    cared = animal(
        arrived_on=date(2026, 6, 1),
        feedings=feedings(*(date(2026, 6, day) for day in fed)),
    )

    tasks = feeds(cared, date(2026, 6, 1), date(2026, 6, 7))

    assert {t.due_on.day: t.done_on.day if t.done_on else None for t in tasks} == done


def test_what_was_fed_for_one_day_does_not_count_for_the_next_stage_too() -> None:
    # Daily up to 25 February; from the 26th every other day, beginning on the 26th.
    fed = [date(2026, 2, 20) + n * DAY for n in range(6)]

    tasks = feeds(animal(feedings=feedings(*fed)), date(2026, 2, 25), date(2026, 2, 26))

    assert [task.done_on for task in tasks] == [date(2026, 2, 25), None]


@pytest.mark.parametrize("first", [0, 1, 2, 3, 4])
def test_a_keeper_who_feeds_every_three_days_leaves_nothing_open(first: int) -> None:
    start_on, end_on = date(2026, 6, 10), date(2026, 8, 31)
    fed = [start_on + timedelta(first + 3 * n) for n in range(-3, 40)]

    tasks = feeds(animal(feedings=feedings(*fed)), start_on, end_on)

    assert [task.due_on for task in tasks if task.is_open] == []


def test_a_keeper_who_does_what_is_due_feeds_every_two_to_three_days() -> None:
    fed: list[date] = []
    for days in range(60):
        on = date(2026, 6, 1) + days * DAY
        cared = animal(feedings=feedings(*fed))
        fed += [task.due_on for task in feeds(cared, on, on) if task.is_open]

    gaps = {(later - earlier).days for earlier, later in itertools.pairwise(fed)}
    assert gaps == {2, 3}


@pytest.mark.parametrize(
    ("orders", "expected"),
    [
        pytest.param(
            [order(FAST, date(2026, 6, 3), date(2026, 6, 7))],
            {"06-01": 3, "06-08": 3, "06-11": 3},
            id="fasting, both days included",
        ),
        pytest.param(
            [order(ASSIST, date(2026, 6, 2), date(2026, 6, 6))],
            {"06-01": 3, "06-02": 5, "06-04": 5, "06-06": 5, "06-08": 3, "06-11": 3},
            id="fed by hand every other day",
        ),
        pytest.param(
            [order(RHYTHM, date(2026, 5, 30), date(2026, 6, 6), every_days=4)],
            {"06-03": 5, "06-08": 3, "06-11": 3},
            id="another rhythm, begun before",
        ),
        pytest.param(
            [
                order(ASSIST, date(2026, 6, 1), date(2026, 6, 9), id=2, every_days=1),
                order(FAST, date(2026, 5, 30), date(2026, 6, 6), id=1),
            ],
            {"06-07": 5, "06-08": 5, "06-09": 5, "06-11": 3},
            id="fasting goes before what was agreed later",
        ),
        pytest.param(
            [
                order(RHYTHM, date(2026, 6, 2), date(2026, 6, 9), id=1, every_days=3),
                order(ASSIST, date(2026, 6, 5), date(2026, 6, 6), id=2, portion=9),
            ],
            {"06-01": 3, "06-02": 5, "06-05": 9, "06-08": 5, "06-11": 3},
            id="the later begun goes before the earlier",
        ),
    ],
)
def test_what_was_agreed_goes_before_the_profile(
    orders: list[Any], expected: dict[str, int]
) -> None:
    cared = animal(orders=tuple(orders))

    tasks = feeds(cared, date(2026, 6, 1), date(2026, 6, 11))

    assert {f"{t.due_on:%m-%d}": plan(t).portion_low for t in tasks} == expected


def test_an_agreed_feeding_says_by_whom_and_dusts_nothing_given_by_hand() -> None:
    agreed = order(ASSIST, date(2026, 3, 1), date(2026, 3, 1))

    (task,) = feeds(animal(orders=(agreed,)), date(2026, 3, 1), date(2026, 3, 1))

    assert (task.rule_id, task.provenance) == ("", None)
    assert task.plan == FeedPlan(
        feeder="",
        feeder_name="",
        portion_low=5,
        portion_high=5,
        unit="mL",
        supplements=(),
        assisted=True,
        agreed="vet: On the vet's word.",
    )


def test_an_agreement_needs_no_profile() -> None:
    cared = animal(
        profile=None,
        hatched_on=None,
        orders=(
            order(RHYTHM, date(2026, 3, 1), date(2026, 3, 4), unit="insects", by=""),
        ),
    )

    tasks = feeds(cared, date(2026, 3, 1), date(2026, 3, 9))

    assert month_days(tasks) == ["03-01", "03-03"]
    assert plan(tasks[0]).agreed == "On the vet's word."
    assert (tasks[0].due_at, plan(tasks[0]).feeder) == (None, "")


@pytest.mark.parametrize(
    ("arrived_on", "hatched_on", "expected"),
    [
        # Feeding days of the grown: 1, 3, 6, 8 June; the anchor stays the stage's.
        pytest.param("2026-06-04", HATCHED_ON, ["06-06", "06-08"], id="newcomer"),
        pytest.param("2026-06-08", HATCHED_ON, ["06-08"], id="arrived on the day"),
        pytest.param("2026-06-09", HATCHED_ON, [], id="not here yet"),
        pytest.param("2025-06-01", None, [], id="age not known"),
        pytest.param(
            "2026-06-07", date(2026, 6, 7), ["06-07", "06-08"], id="hatched here"
        ),
    ],
)
def test_nothing_is_due_before_it_came_or_without_a_stage(
    arrived_on: str, hatched_on: date | None, expected: list[str]
) -> None:
    cared = animal(arrived_on=date.fromisoformat(arrived_on), hatched_on=hatched_on)

    tasks = feeds(cared, date(2026, 6, 1), date(2026, 6, 8))

    assert month_days(tasks) == expected


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        # Due on 11, 13, 16, 18 June: the 15th is no feeding day, the 16th takes it.
        pytest.param(
            {}, {11: CALCIUM, 13: CALCIUM, 16: VITAMIN_D3, 18: CALCIUM}, id=""
        ),
        pytest.param(
            {"orders": (order(FAST, date(2026, 6, 14), date(2026, 6, 16)),)},
            {11: CALCIUM, 13: CALCIUM, 18: VITAMIN_D3},
            id="after a fast over the 15th",
        ),
        pytest.param(
            {"orders": (order(ASSIST, date(2026, 6, 14), date(2026, 6, 16)),)},
            {11: CALCIUM, 13: CALCIUM, 14: "", 16: "", 18: VITAMIN_D3},
            id="after two days fed by hand",
        ),
        pytest.param(
            {"arrived_on": date(2026, 6, 16)},
            {16: CALCIUM, 18: CALCIUM},
            id="the 15th was elsewhere",
        ),
        pytest.param(
            {"arrived_on": date(2026, 6, 15)},
            {16: VITAMIN_D3, 18: CALCIUM},
            id="arrived on the 15th",
        ),
    ],
)
def test_the_next_feeding_takes_the_d3_of_a_day_without(
    changes: dict[str, Any], expected: dict[int, str]
) -> None:
    tasks = feeds(animal(**changes), date(2026, 6, 11), date(2026, 6, 18))

    given = {t.due_on.day: [s.id for s in plan(t).supplements] for t in tasks}
    assert given == {day: [name] if name else [] for day, name in expected.items()}
