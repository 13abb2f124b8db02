"""Second looks that nobody took, counted on a calendar."""

from dataclasses import replace
from datetime import date, datetime, time

import pytest

from husbandry.rules.assessments import Assessment
from husbandry.rules.care.facts import ObservationFact
from husbandry.rules.care.follow_up_findings import follow_ups_overdue
from husbandry.rules.care.follow_ups import follow_up_tasks
from husbandry.rules.vocabulary import FindingKind, ObservationKind, Urgency
from tests.rules.care.kept import ON, ZONE, animal, day, feed_task


def seen(number: int, on: date, look_again_on: date | None = None) -> ObservationFact:
    return ObservationFact(
        id=number,
        at=datetime.combine(on, time(9), tzinfo=ZONE),
        on=on,
        kind=ObservationKind.NOTE,
        sign="",
        observed=None,
        urates=None,
        eggs=None,
        look_again_on=look_again_on,
        note="Scratch on the left foot",
    )


def judge(*observations: ObservationFact) -> list[Assessment]:
    kept = animal(observations=observations)
    tasks = follow_up_tasks(kept, from_on=date.min, until_on=day(30))
    return list(follow_ups_overdue(kept, tasks, on=ON))


def test_second_look_is_told_with_all_its_numbers() -> None:
    found = judge(seen(1, day(18), day(20)), seen(2, day(19)), seen(3, day(25)))

    assert found == [
        Assessment(
            kind=FindingKind.FOLLOW_UP_OVERDUE,
            urgency=Urgency.TODAY,
            facts={
                "observation": 1,
                "text": "note: Scratch on the left foot",
                "seen_on": "2026-11-18",
                "due_on": "2026-11-20",
                "days_overdue": 4,
                "last_on": "2026-11-19",
                "convention": "care-task-convention",
            },
            detail=("1",),
            animal=1,
        )
    ]


@pytest.mark.parametrize(
    ("observations", "about"),
    [
        ((), []),
        ((seen(1, day(20)),), []),
        ((seen(1, day(20), day(25)),), []),
        ((seen(1, day(20), day(24)),), ["1"]),
        ((seen(1, day(20), day(23)),), ["1"]),
        # However long ago it fell due.
        ((seen(1, day(20, 9), day(22, 9)),), ["1"]),
        # Looked at on the day, or late, or too early.
        ((seen(1, day(20), day(23)), seen(2, day(23))), []),
        ((seen(1, day(20), day(23)), seen(2, day(24))), []),
        ((seen(1, day(20), day(23)), seen(2, day(22))), ["1"]),
        # Two wounds are two looks.
        ((seen(1, day(20), day(23)), seen(2, day(21), day(24))), ["1", "2"]),
    ],
)
def test_second_look_is_overdue_from_the_end_of_its_day(
    observations: tuple[ObservationFact, ...], about: list[str]
) -> None:
    assert [a.detail[0] for a in judge(*observations)] == about


def test_looks_of_an_animal_whose_records_are_not_there_are_still_told() -> None:
    one = seen(1, day(20), day(22))
    tasks = follow_up_tasks(
        animal(observations=(one,)), from_on=date.min, until_on=day(30)
    )

    (found,) = follow_ups_overdue(replace(animal(), id=2), tasks, on=ON)

    assert (found.animal, found.facts["last_on"]) == (2, None)


def test_task_of_another_kind_is_no_second_look() -> None:
    with pytest.raises(TypeError, match="not a second look"):
        list(follow_ups_overdue(animal(), [feed_task(day(24))], on=ON))
