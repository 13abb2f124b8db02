"""Missed feedings, counted by hand on a calendar of November 2026.

Intervals: common practice, no source (K11): young ones daily, grown ones every 2 to
3 days. From when a gap is urgent: a convention of this project.
"""

from datetime import date

import pytest

from husbandry.rules.assessments import Assessment
from husbandry.rules.care.facts import CaredAnimal
from husbandry.rules.care.feeding_findings import feeding_missed
from husbandry.rules.care.tasks import FeedPlan, MistPlan
from husbandry.rules.vocabulary import (
    FeedingOrderKind,
    FindingKind,
    MistingTime,
    Urgency,
)
from tests.rules.care import kept
from tests.rules.care.kept import ON, PRACTICE, day, days, fed, feed_task

LONG_AGO = date(2026, 1, 2)
WEEK = days(day(18), day(24))


def judge(
    animal: CaredAnimal,
    *,
    done: tuple[date, ...] = (),
    due: tuple[date, ...] = WEEK,
    known_from: date = LONG_AGO,
    on: date = ON,
) -> Assessment | None:
    tasks = [feed_task(d, done_on=d if d in done else None) for d in due]
    return feeding_missed(animal, tasks, known_from=known_from, on=on)


def test_hatchling_without_food_for_a_day_is_told_with_all_its_numbers() -> None:
    until = days(day(18), day(23))

    found = judge(kept.animal(feedings=fed(*until)), done=until)

    assert found == Assessment(
        kind=FindingKind.FEEDING_MISSED,
        urgency=Urgency.TODAY,
        facts={
            "due_on": "2026-11-24",
            "since_on": "2026-11-24",
            "missed": 1,
            "more_before": False,
            "days": 1,
            "unfed_from_on": "2026-11-24",
            "fasted_until_on": None,
            "every_days_low": 1,
            "every_days_high": 1,
            "last_on": "2026-11-23",
            "last_feeder": "crickets",
            "last_offered": 12,
            "last_eaten": 10,
            "portion_low": 10,
            "portion_high": 15,
            "unit": "small insects",
            "assisted": False,
            "agreed": "",
            "convention": "care-task-convention",
        },
        rule_id="feeding-young",
        provenance=PRACTICE,
        animal=1,
    )


@pytest.mark.parametrize(
    ("last", "expected"),
    [
        (day(24), None),
        (day(23), (1, 1, Urgency.TODAY)),
        (day(22), (2, 2, Urgency.TODAY)),
        (day(21), (3, 3, Urgency.NOW)),
        (day(20), (4, 4, Urgency.NOW)),
    ],
)
def test_hatchling_cannot_wait_from_the_third_day_on(
    last: date, expected: tuple[int, int, Urgency] | None
) -> None:
    fed_on = days(day(10), last)

    found = judge(kept.animal(feedings=fed(*fed_on)), done=fed_on)

    seen = found and (found.facts["days"], found.facts["missed"], found.urgency)
    assert seen == expected


@pytest.mark.parametrize(
    ("last", "expected"),
    [
        # Every 2 to 3 days: after two days without food tomorrow still is in time.
        (day(22), None),
        (day(21), Urgency.TODAY),
        (day(16), Urgency.TODAY),
        (day(15), Urgency.NOW),
    ],
)
def test_adult_is_given_its_longest_interval_and_three_of_them(
    last: date, expected: Urgency | None
) -> None:
    found = judge(kept.grown(feedings=fed(last)), due=(day(19), day(21), day(24)))

    assert (found.urgency if found else None) == expected


def test_gap_that_fills_the_week_is_told_as_at_least_so_many() -> None:
    found = judge(kept.animal(feedings=fed(day(10))))

    assert found is not None
    assert found.facts["missed"] == 7
    assert found.facts["more_before"] is True
    assert (found.facts["days"], found.facts["unfed_from_on"]) == (14, "2026-11-11")


def test_gap_that_fills_the_week_exactly_is_told_exactly() -> None:
    found = judge(kept.animal(feedings=fed(day(17))))

    assert found is not None
    assert (found.facts["missed"], found.facts["more_before"]) == (7, False)


@pytest.mark.parametrize(
    ("arrived", "expected"),
    [
        (day(24), None),
        (day(23), (1, Urgency.TODAY)),
        (day(21), (3, Urgency.NOW)),
    ],
)
def test_animal_is_not_late_on_the_day_it_came(
    arrived: date, expected: tuple[int, Urgency] | None
) -> None:
    due = days(arrived, day(24))

    found = judge(kept.animal(arrived_on=arrived), due=due)

    assert (found and (found.facts["days"], found.urgency)) == expected


def test_animal_is_not_late_on_the_day_it_hatched() -> None:
    hatched = kept.animal(hatched_on=ON, arrived_on=ON)

    assert judge(hatched, due=(ON,)) is None


@pytest.mark.parametrize(
    ("known_from", "expected"),
    [(day(24), (1, 1)), (day(23), (2, 2)), (day(22), (3, 3))],
)
def test_what_fell_due_before_the_first_record_is_not_counted(
    known_from: date, expected: tuple[int, int]
) -> None:
    found = judge(kept.animal(), known_from=known_from)

    assert found is not None
    assert (found.facts["missed"], found.facts["days"]) == expected
    assert found.facts["last_on"] is None


def test_nothing_is_due_before_the_first_record() -> None:
    due = days(day(18), day(22))

    assert judge(kept.animal(), due=due, known_from=day(23)) is None


@pytest.mark.parametrize(
    ("from_on", "until_on"),
    [(day(20), day(30)), (day(24), day(24)), (day(25), day(26))],
)
def test_fasting_animal_and_the_eve_of_a_fast_are_left_alone(
    from_on: date, until_on: date
) -> None:
    # On the eve it must not be fed any more, however long ago it ate.
    fast = kept.order(FeedingOrderKind.FAST, from_on, until_on)

    found = judge(
        kept.animal(orders=(fast,), feedings=fed(day(17))), due=days(day(18), day(19))
    )

    assert found is None


def test_fast_that_begins_later_does_not_hide_what_was_missed() -> None:
    fast = kept.order(FeedingOrderKind.FAST, day(26), day(27))

    assert judge(kept.animal(orders=(fast,))) is not None


@pytest.mark.parametrize(
    ("until_on", "expected"),
    [
        (day(23), (1, Urgency.TODAY)),
        (day(22), (2, Urgency.TODAY)),
        (day(21), (3, Urgency.NOW)),
    ],
)
def test_days_of_a_fast_are_not_counted(
    until_on: date, expected: tuple[int, Urgency]
) -> None:
    fast = kept.order(FeedingOrderKind.FAST, day(15), until_on)
    due = (day(14), *days(until_on + kept.A_DAY, day(24)))

    found = judge(kept.animal(orders=(fast,), feedings=fed(day(13))), due=due)

    assert found is not None
    assert (found.facts["days"], found.urgency) == expected
    assert found.facts["fasted_until_on"] == until_on.isoformat()
    assert found.facts["last_on"] == "2026-11-13"


def test_agreed_rhythm_goes_before_that_of_the_profile() -> None:
    rhythm = kept.order(FeedingOrderKind.RHYTHM, day(1), day(30), every_days=4)
    plan = FeedPlan("", "", 2, 2, "crickets", (), agreed="R. Vet: too heavy")
    task = feed_task(day(24), plan=plan, rule_id="", provenance=None)
    animal = kept.animal(orders=(rhythm,), feedings=fed(day(20)))

    found = feeding_missed(animal, [task], known_from=LONG_AGO, on=ON)

    assert found is not None
    assert found.facts["every_days_high"] == 4
    assert found.facts["agreed"] == "R. Vet: too heavy"
    assert (found.rule_id, found.provenance) == ("", None)
    assert found.urgency is Urgency.TODAY


def test_of_two_agreed_rhythms_the_one_begun_last_holds() -> None:
    first = kept.order(FeedingOrderKind.RHYTHM, day(1), day(30), every_days=6)
    last = kept.order(FeedingOrderKind.ASSIST, day(20), day(30), every_days=1)
    animal = kept.animal(orders=(last, first), feedings=fed(day(23)))

    found = judge(animal, due=(day(24),))

    assert found is not None
    assert found.facts["every_days_high"] == 1


@pytest.mark.parametrize(
    "animal",
    [
        kept.animal(profile=None),
        kept.animal(hatched_on=None),
        kept.animal(profile=kept.small_profile(feeding=())),
    ],
)
def test_animal_without_a_rhythm_is_not_judged(animal: CaredAnimal) -> None:
    assert judge(animal) is None


def test_agreed_rhythm_holds_for_an_animal_of_unknown_age() -> None:
    daily = kept.order(FeedingOrderKind.ASSIST, day(20), day(30), every_days=1)
    animal = kept.animal(hatched_on=None, arrived_on=day(21), orders=(daily,))

    found = judge(animal, due=days(day(21), day(24)))

    assert found is not None
    assert (found.facts["days"], found.urgency) == (3, Urgency.NOW)


def test_animal_without_feedings_due_is_not_judged() -> None:
    assert judge(kept.animal(), due=()) is None


def test_what_was_done_the_day_after_was_open_on_the_day() -> None:
    task = feed_task(day(24), done_on=day(25))
    animal = kept.animal(feedings=fed(day(23), day(25)))

    found = feeding_missed(animal, [task], known_from=LONG_AGO, on=ON)

    assert found is not None
    assert found.facts["last_on"] == "2026-11-23"


def test_late_feeding_ends_it() -> None:
    # Daily: that of the 23rd stays open for good, the 24th is fed.
    until = (*days(day(18), day(22)), day(24))

    assert judge(kept.animal(feedings=fed(*until)), done=until) is None


def test_task_of_another_kind_is_refused() -> None:
    task = feed_task(day(24), plan=MistPlan(MistingTime.BEFORE_LIGHTS_ON, 2, 4))

    with pytest.raises(TypeError, match="not a feeding"):
        feeding_missed(kept.animal(), [task], known_from=LONG_AGO, on=ON)
