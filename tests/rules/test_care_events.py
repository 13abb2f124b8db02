"""Care as entries of a calendar: one a room and day, hours for doses, windows for laying."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from core.events import AllDay, Event, Timed
from husbandry.rules.care.tasks import CareTask
from husbandry.rules.care_events import LAYING, VET, care_events, laying_window
from husbandry.rules.round_cautions import MEDICINES
from husbandry.rules.vocabulary import HealthTestKind, TaskKind
from husbandry.rules.weights import GravidSpell
from tests.rules import rounds_made as made

K = TaskKind
ON = made.ON
DUE_AT = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
PAIR = [made.animal(1), made.animal(2, label="V-0002 Bas")]


def events(*tasks: CareTask, facts: object = None) -> tuple[Event, ...]:
    found = made.facts(PAIR) if facts is None else facts
    return care_events(found, tasks, on=ON)  # type: ignore[arg-type] # facts or none


def whole(on: date) -> AllDay:
    return AllDay(on, on)


def test_a_rooms_day_is_summed_up_with_the_list() -> None:
    feeds = [made.task(animal=1), made.task(animal=2)]
    mist = made.task(K.MIST, made.MIST, enclosure=1)
    weigh = made.task(K.WEIGH, made.WEIGH, animal=2)

    assert events(mist, feeds[0], feeds[1], weigh) == (
        Event(
            key="care-room-1-2026-03-02",
            when=whole(ON),
            summary="Nursery rack: 2 feedings (10–15 crickets each), 1 misting, "
            "1 weighing",
            description="[ ] Mist 2–5 min before lights-on – N-01\n"
            "[ ] Feed 10–15 small insects: crickets, dusted with plain calcium "
            "without vitamin D3 – N-01 V-0001 Juno, N-02 V-0002 Bas\n"
            "[ ] Weigh (every 7 days) – N-02 V-0002 Bas",
            location="Nursery rack",
        ),
    )


def test_what_was_done_is_counted_and_marked() -> None:
    fed, open_ = made.task(done_on=ON), made.task(animal=2)

    (found,) = events(fed, open_)

    assert found.summary.endswith("(10–15 crickets each) – 1 of 2 on record")
    assert [line[:4] for line in found.description.splitlines()] == ["[x] ", "[ ] "]


@pytest.mark.parametrize(
    ("days", "shown"), [(-8, False), (-7, True), (28, True), (29, False)]
)
def test_a_week_back_and_four_weeks_ahead_are_shown(days: int, shown: bool) -> None:
    task = made.task(due_on=ON + timedelta(days=days))

    assert [e.when for e in events(task)] == ([whole(task.due_on)] if shown else [])


def test_days_come_in_order_and_each_once() -> None:
    later, sooner = made.task(due_on=ON + timedelta(days=1)), made.task()

    found = events(later, sooner, sooner)

    assert [e.key for e in found] == [
        "care-room-1-2026-03-02",
        "care-room-1-2026-03-03",
    ]
    assert found[0].description.count("Feed") == 1


def test_a_dose_has_an_hour_and_the_caution() -> None:
    dose = made.task(K.DOSE, made.DOSE, due_at=DUE_AT)

    day, found = events(dose)

    assert day.summary == "Nursery rack: 1 dose"
    assert found == Event(
        key=f"task-{dose.key}",
        when=Timed(DUE_AT, DUE_AT + timedelta(minutes=15)),
        summary="V-0001 Juno: Give 0.10 mL Invented syrup by mouth at 09:00, as a "
        "licensed vet of the tests prescribed",
        description=MEDICINES,
        location="Nursery rack, N-01",
    )


def test_gut_loading_has_an_hour_and_the_room() -> None:
    gut_load = made.task(K.GUT_LOAD, made.GUT_LOAD, room=1, due_at=DUE_AT)

    _, found = events(gut_load)

    assert (found.location, found.description) == ("Nursery rack", "")
    assert found.summary.startswith("Gut-load 120–180 crickets at 09:00")


@pytest.mark.parametrize(
    ("due_on", "done_on", "on", "ending"),
    [
        (ON + timedelta(days=3), None, ON + timedelta(days=3), ""),
        (ON, None, ON, ""),
        (date(2026, 1, 5), None, ON, " – open since 5 Jan 2026"),
        (ON - timedelta(days=2), ON, ON - timedelta(days=2), ""),
        (date(2026, 1, 5), ON, None, ""),
        (ON + timedelta(days=28), None, ON + timedelta(days=28), ""),
        (ON + timedelta(days=29), None, None, ""),
    ],
)
def test_a_second_look_is_entered_once_for_today_while_it_is_open(
    due_on: date, done_on: date | None, on: date | None, ending: str
) -> None:
    look = made.task(K.FOLLOW_UP, made.LOOK, due_on=due_on, done_on=done_on)

    found = [e for e in events(look, look) if e.key.startswith("task-")]

    assert [(e.when, e.summary, e.description) for e in found] == (
        [
            (
                whole(on),
                f"V-0001 Juno: Look again: swollen eye (27 Feb 2026){ending}",
                VET,
            )
        ]
        if on
        else []
    )


def test_a_result_is_asked_for_on_its_day() -> None:
    plan = replace(made.LOOK, test=HealthTestKind.FAECAL)
    task = made.task(K.TEST_RESULT, plan)

    _, found = events(task)

    assert found.when == whole(ON)
    assert found.summary == (
        "V-0001 Juno: Ask for the result of the faecal test taken on 27 Feb 2026"
    )


def test_what_is_for_the_whole_room_names_nobody() -> None:
    gut_load = made.task(K.GUT_LOAD, made.GUT_LOAD, room=1, due_at=DUE_AT)

    day, _ = events(gut_load)

    assert day.description == (
        "[ ] Gut-load 120–180 crickets at 09:00 for 12 animals to be fed on 3 Mar 2026"
    )


def test_an_animal_without_an_enclosure_is_in_no_rooms_day() -> None:
    nowhere = made.facts([made.animal(1, enclosure=None)], [made.enclosure(2)])
    dose = made.task(K.DOSE, made.DOSE, due_at=DUE_AT)

    (found,) = events(dose, facts=nowhere)

    assert (found.location, found.key) == ("", f"task-{dose.key}")


def test_a_gravid_female_has_a_window_for_laying() -> None:
    gravid = made.animal(gravid=(GravidSpell(date(2026, 2, 20), None),))

    # 20 to 35 days by the shipped profile (zoo-profile-2014).
    assert events(facts=made.facts([gravid])) == (
        Event(
            key="laying-1-2026-02-20",
            when=AllDay(date(2026, 3, 12), date(2026, 3, 27)),
            summary="V-0001 Juno may lay (gravid since 20 Feb 2026)",
            description=LAYING,
            location="Nursery rack, N-01",
        ),
    )


@pytest.mark.parametrize(
    ("from_on", "until_on", "shown"),
    [
        (date(2026, 2, 1), date(2026, 2, 27), False),
        # The window ends on the first day shown, or the day before.
        (date(2026, 1, 19), None, True),
        (date(2026, 1, 18), None, False),
        # It begins on the last day shown, or the day after.
        (date(2026, 3, 10), None, True),
        (date(2026, 3, 11), None, False),
    ],
)
def test_a_window_is_shown_while_she_is_gravid_and_it_touches_the_days(
    from_on: date, until_on: date | None, shown: bool
) -> None:
    gravid = made.animal(gravid=(GravidSpell(from_on, until_on),))

    assert bool(events(facts=made.facts([gravid]))) is shown


def test_without_the_profiles_days_there_is_no_window() -> None:
    silent = replace(made.profile(), incubation=())

    assert laying_window(made.animal(profile=None), ON) is None
    assert laying_window(made.animal(profile=silent), ON) is None


def test_nothing_due_is_nothing_entered() -> None:
    assert events(facts=made.facts([])) == ()
