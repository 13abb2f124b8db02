"""What a keeper reads of a task, word for word."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from husbandry.rules.care.tasks import CareTask, FeedPlan, WatchPlan
from husbandry.rules.sentences.tasks import (
    LAMPS,
    MISTINGS,
    NOUNS,
    ROUTES,
    count_tasks,
    span,
    tell_overdue,
    tell_task,
)
from husbandry.rules.vocabulary import (
    HealthTestKind,
    LampKind,
    MistingTime,
    Route,
    TaskKind,
)
from tests.rules import rounds_made as made

K = TaskKind
ON, ZONE = made.ON, made.ZONE
AT = datetime(2026, 3, 2, 21, 0, tzinfo=UTC)
BY_HAND = FeedPlan("", "", 3, 3, "mL", (), assisted=True, agreed="A. Vet: too weak")
REFUSED = replace(made.DOSE, volume_ml=None, refusal="Weigh first.")
TEST = replace(made.LOOK, test=HealthTestKind.FAECAL)
NEVER = replace(made.LAMP, last_on=None)


@pytest.mark.parametrize(
    ("task", "told"),
    [
        (
            made.task(),
            "Feed 10–15 small insects: crickets, dusted with plain calcium without "
            "vitamin D3",
        ),
        (
            made.task(K.FEED, BY_HAND),
            "Feed by hand 3 mL (agreed: A. Vet: too weak)",
        ),
        (
            made.task(K.GUT_LOAD, made.GUT_LOAD, room=1, due_at=AT),
            "Gut-load 120–180 crickets at 21:00 for 12 animals to be fed on 3 Mar 2026",
        ),
        (
            made.task(K.GUT_LOAD, replace(made.GUT_LOAD, animals=1), room=1),
            "Gut-load 120–180 crickets for 1 animal to be fed on 3 Mar 2026",
        ),
        (
            made.task(K.MIST, made.MIST, enclosure=1, due_at=AT),
            "Mist 2–5 min before lights-on, 21:00",
        ),
        (made.task(K.WEIGH, made.WEIGH), "Weigh (every 7 days)"),
        (
            made.task(K.UV_CHECK, made.LAMP, enclosure=1),
            "Measure the UV index under the UVB tube T5, 6 % (measured last on 3 Jan "
            "2026)",
        ),
        (
            made.task(K.UV_CHECK, NEVER, enclosure=1),
            "Measure the UV index under the UVB tube T5, 6 % (measured never)",
        ),
        (
            made.task(K.LAMP_CHANGE, made.LAMP, enclosure=1),
            "Change the UVB tube T5, 6 %, fitted on 1 Mar 2025, 4392 h burnt",
        ),
        (
            made.task(K.DOSE, made.DOSE),
            "Give 0.10 mL Invented syrup by mouth at 09:00, as a licensed vet of the "
            "tests prescribed",
        ),
        (
            made.task(K.DOSE, REFUSED),
            "Invented syrup, due at 09:00: do not give it yet. Weigh first.",
        ),
        (made.task(K.FOLLOW_UP, made.LOOK), "Look again: swollen eye (27 Feb 2026)"),
        (
            made.task(K.TEST_RESULT, TEST),
            "Ask for the result of the faecal test taken on 27 Feb 2026",
        ),
        (
            made.task(K.WATCH, WatchPlan(date(2026, 2, 20))),
            "Look whether she is bright, digs or lays (gravid since 20 Feb 2026)",
        ),
    ],
)
def test_a_task_in_words(task: CareTask, told: str) -> None:
    assert tell_task(task, zone=ZONE) == told


def test_times_are_told_by_the_clock_of_the_site() -> None:
    task = made.task(K.DOSE, made.DOSE)

    assert " at 18:00," in tell_task(task, zone=ZoneInfo("Asia/Tokyo"))


def test_what_is_open_is_summed_up_by_kind() -> None:
    feeds = [made.task(due_on=ON - timedelta(days=n)) for n in (1, 3)]
    weigh = made.task(K.WEIGH, made.WEIGH, due_on=date(2026, 2, 26))

    assert tell_overdue([*feeds, weigh], zone=ZONE) == (
        "Feeding open since 27 Feb 2026 (2×)",
        "Weighing open since 26 Feb 2026",
    )
    assert tell_overdue([], zone=ZONE) == ()


def test_an_open_dose_is_never_made_good_by_giving_two() -> None:
    dose = made.task(K.DOSE, made.DOSE, due_on=ON)

    assert tell_overdue([dose], zone=ZONE) == (
        "Dose of Invented syrup due 2 Mar 2026 at 09:00 is not on record. Never give "
        "two at once; ask the vet.",
    )


def test_an_open_second_look_says_at_what() -> None:
    look = made.task(K.FOLLOW_UP, made.LOOK, due_on=date(2026, 3, 1))

    assert tell_overdue([look], zone=ZONE) == (
        "Look again: swollen eye (27 Feb 2026); open since 1 Mar 2026",
    )


ADULT = replace(made.FEED, portion_low=3, portion_high=4)
OTHER = replace(made.FEED, feeder="feeder-roaches", feeder_name="Roaches")


@pytest.mark.parametrize(
    ("tasks", "summed"),
    [
        ([], ""),
        ([made.task()], "1 feeding (10–15 crickets)"),
        (
            [made.task(), made.task(), made.task(K.WEIGH, made.WEIGH)],
            "2 feedings (10–15 crickets each), 1 weighing",
        ),
        (
            [made.task(), made.task(K.FEED, ADULT)],
            "2 feedings (3–15 crickets each)",
        ),
        ([made.task(), made.task(K.FEED, OTHER)], "2 feedings"),
        (
            [made.task(), made.task(K.FEED, BY_HAND)],
            "2 feedings (10–15 crickets)",
        ),
        ([made.task(K.FEED, BY_HAND)], "1 feeding"),
    ],
)
def test_tasks_summed_up(tasks: list[CareTask], summed: str) -> None:
    assert count_tasks(tasks) == summed


@pytest.mark.parametrize(("low", "high", "told"), [(4, 4, "4"), (3, 4, "3–4")])
def test_span(low: int, high: int, told: str) -> None:
    assert span(low, high) == told


def test_every_word_has_words() -> None:
    assert set(NOUNS) == set(TaskKind)
    assert set(ROUTES) == set(Route)
    assert set(LAMPS) == set(LampKind)
    assert set(MISTINGS) == set(MistingTime)
