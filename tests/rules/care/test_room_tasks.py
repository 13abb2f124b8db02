"""Feeding the insects of a room, 12 h before they are offered.

Twelve hours before, the evening: common practice, no source. Clocks by the time zone
database: in Lisbon they go forward on 29 March 2026 at 01:00.
"""

from dataclasses import replace
from datetime import UTC, date, datetime, time

import pytest

from husbandry.rules.care.due import tasks_due
from husbandry.rules.care.facts import CaredAnimal, CaredRoom, CareFacts
from husbandry.rules.care.tasks import CareTask, GutLoadPlan
from husbandry.rules.profiles.values import GutLoadRule
from husbandry.rules.vocabulary import ChoreKind, FeedingOrderKind, TaskKind
from tests.rules.care.cared import (
    LISBON,
    PRACTICE,
    PROFILE,
    animal,
    chore,
    enclosure,
    facts,
    feedings,
    order,
)

YOUNG_ON = date(2026, 1, 1)  # hatched then: fed daily, 10–15 small insects


def young(number: int, **changes: object) -> CaredAnimal:
    return animal(number, hatched_on=YOUNG_ON, arrived_on=YOUNG_ON, **changes)


def gut_loads(known: CareFacts, from_on: str, until_on: str) -> list[CareTask]:
    tasks = tasks_due(
        known,
        from_on=date.fromisoformat(f"2026-{from_on}"),
        until_on=date.fromisoformat(f"2026-{until_on}"),
    )
    return [task for task in tasks if task.kind is TaskKind.GUT_LOAD]


def test_insects_are_fed_the_evening_before_though_clocks_change() -> None:
    tasks = gut_loads(facts(young(1)), "03-27", "03-29")

    # Offered at 09:00: on the 28th at 09:00 UTC, on the 29th and 30th at 08:00 UTC.
    assert [task.due_at for task in tasks] == [
        datetime(2026, 3, 27, 21, tzinfo=UTC),  # 21:00 there
        datetime(2026, 3, 28, 20, tzinfo=UTC),  # 20:00 there: the night lasts 11 h
        datetime(2026, 3, 29, 20, tzinfo=UTC),  # 21:00 there
    ]
    assert [task.due_on.day for task in tasks] == [27, 28, 29]


def test_portions_of_a_room_are_added_up_for_each_feeder() -> None:
    rooms = {
        1: CaredRoom(1, "a", "A", 0, quarantine=False),
        2: CaredRoom(2, "b", "B", 1, quarantine=False),
    }
    known = facts(
        young(1),
        young(2, enclosure=2),
        young(3, enclosure=3),
        # Fed by hand, and fed the day before: no insects.
        young(
            5,
            orders=(
                order(
                    FeedingOrderKind.ASSIST,
                    date(2026, 3, 1),
                    date(2026, 3, 9),
                    every_days=1,
                ),
            ),
        ),
        animal(6, feedings=feedings(date(2026, 3, 3))),
        enclosures={
            1: enclosure(1),
            2: enclosure(2, lights_on=time(6)),
            3: enclosure(3, room=2),
        },
        rooms=rooms,
    )

    tasks = gut_loads(known, "03-03", "03-03")

    # For 4 March, day 739,679 = 3 × 246,559 + 2: the third staple, silkworms.
    assert [(t.room, t.plan) for t in tasks] == [
        (1, GutLoadPlan("silkworms", "Silkworms", 20, 30, 2, date(2026, 3, 4))),
        (2, GutLoadPlan("silkworms", "Silkworms", 10, 15, 1, date(2026, 3, 4))),
    ]
    # The earliest lights of room 1 come on at 06:00: offered at 08:00.
    assert tasks[0].due_at == datetime(2026, 3, 3, 20, tzinfo=UTC)
    assert (tasks[0].key, tasks[0].rule_id, tasks[0].provenance) == (
        "gut_load:room:1:2026-03-03:silkworms:2026-03-04",
        "gut-load",
        PRACTICE,
    )


def test_two_feeders_of_one_day_are_two_tasks() -> None:
    grown = animal(4, hatched_on=date(2025, 1, 1), arrived_on=date(2025, 1, 1))

    tasks = gut_loads(facts(young(1), grown), "03-01", "03-01")

    # For 2 March, day 739,677: the first of three staples, roaches; with locusts, which
    # suit the grown only, the second of four, crickets. Grown since 1 January: fed
    # every 5 days and 2 days after each, so on day 60, which is 2 March.
    assert [(t.plan.feeder, t.plan.insects_low) for t in tasks] == [  # type: ignore[union-attr]
        ("crickets", 3),
        ("roaches", 10),
    ]


@pytest.mark.parametrize(
    ("at", "feeder", "done"),
    [
        # Due on 2 March at 21:00 for the 3rd at 09:00; from 09:00 on the 2nd.
        ("02T08:59", "crickets", False),
        ("02T09:00", "crickets", True),
        ("02T21:00", "crickets", True),
        ("03T09:00", "crickets", True),
        ("03T09:01", "crickets", False),
        ("02T21:00", "roaches", False),
    ],
)
def test_gut_loading_that_feeder_in_time_closes_it(
    at: str, feeder: str, done: bool
) -> None:
    moment = datetime.fromisoformat(f"2026-03-{at}+00:00")
    loaded = chore(ChoreKind.GUT_LOADING, moment, room=1, feeder=feeder)

    (task,) = gut_loads(facts(young(1), chores=(loaded,)), "03-02", "03-02")

    assert task.done_on == (moment.astimezone(LISBON).date() if done else None)


@pytest.mark.parametrize(
    ("lights_on", "hours_before", "due_at"),
    [
        # Offered on 5 March: at 09:00, two days before; at 01:00 of the next day.
        (time(7), 48, datetime(2026, 3, 3, 9, tzinfo=UTC)),
        (time(23), 1, datetime(2026, 3, 6, 0, tzinfo=UTC)),
    ],
)
def test_hours_before_may_lead_to_another_day(
    lights_on: time, hours_before: int, due_at: datetime
) -> None:
    rule = GutLoadRule("gut-load", hours_before, 2, "", PRACTICE)
    known = facts(
        young(1, profile=replace(PROFILE, gut_load=rule)),
        enclosures={1: enclosure(lights_on=lights_on)},
    )

    tasks = gut_loads(known, f"{due_at:%m-%d}", f"{due_at:%m-%d}")

    assert [(t.due_at, t.plan.feeding_on) for t in tasks] == [  # type: ignore[union-attr]
        (due_at, date(2026, 3, 5))
    ]


def test_without_a_rule_or_an_enclosure_no_insects_are_fed() -> None:
    known = facts(
        young(1, profile=replace(PROFILE, gut_load=None)), young(2, enclosure=None)
    )

    assert gut_loads(known, "03-02", "03-02") == []
