"""Insects that were not fed before they are offered, counted by hand.

The evening before, 12 hours ahead: common practice, no source (K13).
"""

from datetime import UTC, date, datetime, time

import pytest

from husbandry.rules.assessments import Assessment
from husbandry.rules.care.facts import ChoreFact
from husbandry.rules.care.judging import DAY
from husbandry.rules.care.room_findings import gut_loads_missed
from husbandry.rules.care.tasks import CareTask, GutLoadPlan
from husbandry.rules.vocabulary import ChoreKind, FindingKind, TaskKind, Urgency
from tests.rules.care.kept import ON, PRACTICE, ZONE, day, feed_task

LONG_AGO = date(2026, 1, 2)


def load(
    due_on: date,
    feeder: str = "crickets",
    *,
    done_on: date | None = None,
    timed: bool = True,
) -> CareTask:
    # Fed at 9 in the morning by a clock one hour ahead of UTC: due at 20:00 UTC.
    at = datetime.combine(due_on, time(20), tzinfo=UTC)
    return CareTask(
        key=f"gut_load:room:3:{due_on}:{feeder}",
        kind=TaskKind.GUT_LOAD,
        due_on=due_on,
        due_at=at if timed else None,
        animal=None,
        enclosure=None,
        room=3,
        plan=GutLoadPlan(feeder, feeder.title(), 30, 45, 3, due_on + DAY),
        done_on=done_on,
        rule_id="gut-load",
        provenance=PRACTICE,
    )


def chore(on: date, feeder: str = "crickets") -> ChoreFact:
    at = datetime.combine(on, time(21), tzinfo=ZONE)
    return ChoreFact(ChoreKind.GUT_LOADING, at, on, None, 3, feeder)


def judge(
    *tasks: CareTask, chores: tuple[ChoreFact, ...] = (), since: date = LONG_AGO
) -> list[Assessment]:
    return list(
        gut_loads_missed(3, tasks, chores, zone=ZONE, recorded_from=since, on=ON)
    )


def test_hungry_insects_are_told_with_all_their_numbers() -> None:
    found = judge(
        load(day(21), done_on=day(21)),
        load(day(22), "roaches"),
        load(day(23), "roaches", done_on=day(23)),
        load(day(24)),
        chores=(chore(day(21)), chore(day(23), "roaches"), chore(day(25))),
    )

    assert found == [
        Assessment(
            kind=FindingKind.GUT_LOAD_MISSED,
            urgency=Urgency.WATCH,
            facts={
                "feeder": "crickets",
                "feeder_name": "Crickets",
                "due_on": "2026-11-24",
                "due_at": "2026-11-24 21:00",
                "feeding_on": "2026-11-25",
                "insects_low": 30,
                "insects_high": 45,
                "animals": 3,
                "missed": 2,
                "of": 4,
                "counted_from_on": "2026-11-21",
                "last_on": "2026-11-23",
                "last_same_on": "2026-11-21",
                "convention": "care-task-convention",
            },
            rule_id="gut-load",
            provenance=PRACTICE,
            detail=("crickets",),
            room=3,
        )
    ]


@pytest.mark.parametrize(
    ("tasks", "feeders"),
    [
        ((), []),
        ((load(day(24), done_on=day(24)),), []),
        ((load(day(24)),), ["crickets"]),
        # What was offered yesterday cannot be mended.
        ((load(day(23)),), []),
        ((load(day(24)), load(day(24), "roaches")), ["crickets", "roaches"]),
        # Done before they were offered, but after midnight: open at the day's end.
        ((load(day(24), done_on=day(25)),), ["crickets"]),
        ((load(day(25)),), []),
    ],
)
def test_only_what_can_still_be_mended_is_told(
    tasks: tuple[CareTask, ...], feeders: list[str]
) -> None:
    assert [a.facts["feeder"] for a in judge(*tasks)] == feeders


def test_insects_before_the_first_record_are_not_counted() -> None:
    tasks = (load(day(22)), load(day(23)), load(day(24)))

    assert [(a.facts["missed"], a.facts["of"]) for a in judge(*tasks)] == [(3, 3)]
    later = judge(*tasks, since=day(23))
    assert [(a.facts["missed"], a.facts["of"]) for a in later] == [(2, 2)]
    assert judge(*tasks, since=day(25)) == []


def test_insects_never_fed_on_record_say_so() -> None:
    (found,) = judge(load(day(24), timed=False))

    assert found.facts["due_at"] is None
    assert (found.facts["last_on"], found.facts["last_same_on"]) == (None, None)


def test_task_of_another_kind_is_no_gut_loading() -> None:
    with pytest.raises(TypeError, match="not a gut-loading"):
        judge(feed_task(day(24)))
