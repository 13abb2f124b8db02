"""Figures of invented animals, worked out by hand, dirty records among them."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from placements.rules.figures.census import CensusDay, animal_days, census
from placements.rules.figures.charges import Kept, charges_of
from placements.rules.figures.cleaning import set_right
from placements.rules.figures.counting import Figures, figures_of
from placements.rules.figures.facts import (
    Charge,
    DaySpan,
    LeftOutWhy,
    Period,
    StayStage,
)
from placements.rules.figures.stages import runs_of, stage_figures
from placements.rules.register.facts import AnimalRecord, CareTime, IntakeFact
from placements.rules.vocabulary import (
    IntakeCondition,
    IntakeSource,
    RegisterHow,
)
from tests.rules.clutches.statistics.test_survival import TREATED, read
from tests.rules.placements.test_movements import (
    DAY,
    histories,
    on,
    placed,
    record,
    time,
)

TODAY = on(100)
YEAR = Period(DAY, TODAY)


def charges(of: AnimalRecord, kept: Kept | None = None) -> tuple[Charge, ...]:
    return charges_of(of, kept=kept or Kept(), on=TODAY)[0]


def spans(of: AnimalRecord) -> list[tuple[int, int | None, str | None]]:
    return [
        (
            (c.began_on - DAY).days,
            None if c.ended_on is None else (c.ended_on - DAY).days,
            c.outcome.value if c.outcome else None,
        )
        for c in charges(of)
    ]


def out(of: AnimalRecord) -> list[tuple[str, int, int | None]]:
    return [
        (
            one.why.value,
            (one.first_on - DAY).days,
            None if one.last_on is None else (one.last_on - DAY).days,
        )
        for one in charges_of(of, kept=Kept(), on=TODAY)[1]
    ]


def charge(
    began: int,
    ended: int | None = None,
    *,
    outcome: str = "adoption",
    came: str = "surrender",
    **more: object,
) -> Charge:
    made = Charge(
        animal=1,
        code="V-1",
        species="veiled",
        began_on=on(began),
        came=RegisterHow(came),
        ended_on=None if ended is None else on(ended),
        outcome=None if ended is None else RegisterHow(outcome),
    )
    return replace(made, **more)  # type: ignore[arg-type]  # fields by name


def figures(of: Sequence[Charge], period: Period = YEAR) -> Figures:
    return figures_of(of, period=period, on=TODAY)


# Foster stays and loans are no outcomes.


def test_a_foster_stay_that_comes_back_is_one_time_in_charge() -> None:
    foster = placed(1, 10, kind="foster", state="came_back", ended=20)
    of = record(time(0, 10), time(20, 50, "dead"), placements=(foster,))

    (only,) = charges(of)

    assert spans(of) == [(0, 50, "death")]
    assert only.away == (DaySpan(on(10), on(20)),)
    assert out(of) == []


def test_a_loan_that_goes_on_is_still_in_charge() -> None:
    of = record(time(0, 10), placements=(placed(1, 10, kind="loan"),))

    (only,) = charges(of)

    assert (only.ended_on, only.away) == (None, (DaySpan(on(10), None),))


def test_made_lasting_it_ends_on_the_day_that_became_so() -> None:
    foster = placed(1, 10, kind="foster", state="made_lasting", ended=30)
    lasting = placed(2, 30, kind="adoption", follows=1)
    of = record(time(0, 10), placements=(foster, lasting))

    assert spans(of) == [(0, 30, "adoption")]
    assert charges(of)[0].away == (DaySpan(on(10), on(30)),)


def test_what_dies_on_a_foster_stay_died_in_charge() -> None:
    foster = placed(1, 10, kind="foster", state="died_there", ended=30)

    assert spans(record(time(0, 10), placements=(foster,))) == [(0, 30, "death")]


def test_a_return_begins_another_time() -> None:
    adoption = placed(1, 10, state="came_back", ended=40)
    of = record(time(0, 10), time(40, None), placements=(adoption,))

    assert spans(of) == [(0, 10, "adoption"), (40, None, None)]
    assert charges(of)[1].came is RegisterHow.RETURN


# Records that cannot be are left out, and listed.


@pytest.mark.parametrize(
    ("times", "kept", "left_out"),
    [
        ((), [], []),
        ((time(0, 5), time(5, 9)), [(0, 5), (5, 9)], []),
        ((time(9, 5),), [], [("negative", 9, 5)]),
        ((time(101, None),), [], [("to_come", 101, None)]),
        ((time(100, None),), [(100, None)], []),
        ((time(50, 101),), [], [("to_come", 50, 101)]),
        ((time(0, 5), time(0, 5)), [(0, 5)], [("repeated", 0, 5)]),
        ((time(0, 5), time(4, 9)), [(4, 9)], [("overlapping", 0, 5)]),
        ((time(0, None), time(7, 9)), [(7, 9)], [("open", 0, None)]),
        (
            (time(0, None), time(2, 50), time(7, None)),
            [(7, None)],
            [("open", 0, None), ("overlapping", 2, 50)],
        ),
        ((time(0, 9), time(0, None)), [(0, None)], [("overlapping", 0, 9)]),
        ((time(0, 0), time(0, 3)), [(0, 0), (0, 3)], []),
    ],
)
def test_what_is_kept_and_what_is_left_out(
    times: tuple[CareTime, ...],
    kept: list[tuple[int, int | None]],
    left_out: list[tuple[str, int, int | None]],
) -> None:
    clean, gone = set_right(record(*times[::-1]), on=TODAY)

    assert [
        (
            (t.arrived_on - DAY).days,
            None if t.left_on is None else (t.left_on - DAY).days,
        )
        for t in clean.times
    ] == kept
    assert [
        (
            g.why.value,
            (g.first_on - DAY).days,
            None if g.last_on is None else (g.last_on - DAY).days,
        )
        for g in gone
    ] == left_out


def test_a_placement_of_an_animal_that_was_not_in_care_is_left_out() -> None:
    late = placed(1, 20)

    assert out(record(time(0, 10, "lost"), placements=(late,))) == [
        ("no_time_in_care", 20, 20)
    ]


def test_a_placement_to_come_is_left_out() -> None:
    assert out(record(time(0, None), placements=(placed(1, 101),))) == [
        ("to_come", 101, 101)
    ]


def test_an_intake_without_a_time_in_care_is_left_out() -> None:
    early = IntakeFact(3, on(1), IntakeSource.STRAY, None, None)

    assert out(record(time(5, None), intakes=(early,))) == [
        ("no_time_in_care", 1, None)
    ]


def test_what_dirty_records_leave_is_counted_as_if_they_were_not_there() -> None:
    good = record(time(0, 10, "dead"), time(20, None))
    dirty = record(
        *(time(0, 10, "dead"), time(0, 10, "dead"), time(9, 3), time(15, 40, "lost")),
        *(time(20, None), time(200, None)),
    )

    assert figures(charges(dirty)) == figures(charges(good))
    assert sorted(why for why, _, _ in out(dirty)) == [
        *("negative", "overlapping", "repeated", "to_come")
    ]


@given(histories(), st.lists(st.integers(0, 3), max_size=4))
def test_laws_of_times_in_charge(history: AnimalRecord, doubled: list[int]) -> None:
    extra = tuple(history.times[i % len(history.times)] for i in doubled)
    long_after = on(1000)

    found, _ = charges_of(
        replace(history, times=history.times + extra), kept=Kept(), on=long_after
    )

    assert all(c.ended_on is None or c.ended_on >= c.began_on for c in found)
    for before, after in pairwise(found):
        assert before.ended_on is not None
        assert before.ended_on <= after.began_on
    assert sum(c.ended_on is None for c in found) <= 1


# Census, animal-days, length of stay, capacity.


def test_the_census_counts_here_and_away() -> None:
    of = [
        charge(0, 2),
        charge(1, None, away=(DaySpan(on(2), on(3)),)),
        charge(2, 2),
        charge(-5, 1),
    ]

    assert census(of, period=Period(on(0), on(3)), on=TODAY) == (
        CensusDay(on(0), 2, 0),
        CensusDay(on(1), 2, 0),
        CensusDay(on(2), 1, 1),
        CensusDay(on(3), 1, 0),
    )


def test_nobody_is_counted_as_none() -> None:
    assert census([], period=Period(on(0), on(0)), on=TODAY) == (
        CensusDay(on(0), 0, 0),
    )


@st.composite
def many_charges(draw: st.DrawFn) -> list[Charge]:
    found = []
    for _ in range(draw(st.integers(0, 8))):
        began = draw(st.integers(0, 100))
        ended = draw(st.none() | st.integers(began, 100))
        end = 101 if ended is None else ended
        first = draw(st.integers(began, end))
        until = draw(st.none() | st.integers(first, end))
        away = DaySpan(on(first), None if until is None else on(until))
        found.append(charge(began, ended, away=(away,) if draw(st.booleans()) else ()))
    return found


@given(many_charges(), st.integers(0, 100), st.integers(0, 100))
def test_the_days_of_the_census_add_up_to_animal_days_and_stages(
    of: list[Charge], one: int, other: int
) -> None:
    period = Period(on(min(one, other)), on(max(one, other)))

    days = census(of, period=period, on=TODAY)

    total = animal_days(of, period=period, on=TODAY)
    assert sum(day.charges for day in days) == total
    assert len(days) == period.days
    stages = stage_figures(of, period=period, on=TODAY)
    assert sum(stage.animal_days for stage in stages) == total
    (away,) = [s.animal_days for s in stages if s.stage is StayStage.AWAY]
    assert sum(day.away for day in days) == away


def test_each_day_of_the_census_is_who_was_there_that_day() -> None:
    """Counted the plain way, one animal and one day after the other."""
    of = [charge(b, e) for b, e in [(0, 9), (3, 3), (3, None), (8, 40), (41, None)]]

    for day in census(of, period=YEAR, on=TODAY):
        there = [
            c
            for c in of
            if c.began_on <= day.on
            and (c.ended_on is None or day.on < c.ended_on or day.on == c.began_on)
        ]
        assert day.here == len(there), day.on


def test_length_of_stay_and_capacity_by_the_published_example() -> None:
    """Three a day, twelve days each: thirty-six at a time."""
    steady = [
        charge(day, day + 12) for day in range(-20, 101) for _ in range(3) if day < 88
    ] + [charge(day) for day in range(89, 101) for _ in range(3)]
    steady += [charge(88, 100) for _ in range(3)]
    period = Period(on(20), on(79))

    found = figures(steady, period)

    assert found.stay.animal_days == 36 * 60
    assert (found.stay.exits, found.stay.days) == (180, 12.0)
    assert (found.stay.left_mean, found.stay.left_median) == (12.0, 12.0)
    assert found.capacity.intake_a_day.value == 3
    assert (found.capacity.needed, found.capacity.mean, found.capacity.most) == (
        *(36.0, 36.0),
        36,
    )


def test_time_in_care_is_the_course_of_a_published_trial() -> None:
    """Freireich 1963: weeks taken as days, + as still in care (tests of survival)."""
    times, ended = read(TREATED)
    of = [
        charge(0, int(days)) if over else charge(100 + 1 - int(days))
        for days, over in zip(times, ended, strict=True)
    ]

    course = figures(of).stay.course

    assert [(s.at, s.at_risk, round(s.surviving, 6)) for s in course.steps] == [
        (6, 21, 0.857143),
        (7, 17, 0.806723),
        (10, 15, 0.752941),
        (13, 12, 0.690196),
        (16, 11, 0.627451),
        (22, 7, 0.537815),
        (23, 6, 0.448179),
    ]
    assert course.median == 23


# Counts and rates.


def test_counts_and_both_rates_of_the_worked_example() -> None:
    """Intake 200; live 140; put to sleep 45, of which 10 may be at owners' request."""
    untreatable = {"condition": IntakeCondition.UNTREATABLE}
    of = [
        *(charge(1, 9) for _ in range(90)),
        *(charge(1, 9, outcome="release") for _ in range(20)),
        *(charge(1, 9, outcome="transfer") for _ in range(30)),
        *(charge(1, 9, outcome="put_to_sleep", came="stray") for _ in range(20)),
        *(
            charge(1, 9, outcome="put_to_sleep", came="stray", **untreatable)
            for _ in range(15)
        ),
        *(charge(1, 9, outcome="put_to_sleep", **untreatable) for _ in range(10)),
        *(charge(1) for _ in range(15)),
    ]

    found = figures(of)

    assert found.intakes == {RegisterHow.SURRENDER: 165, RegisterHow.STRAY: 35}
    assert found.outcomes == {
        RegisterHow.ADOPTION: 90,
        RegisterHow.TRANSFER: 30,
        RegisterHow.RELEASE: 20,
        RegisterHow.PUT_TO_SLEEP: 45,
    }
    rates = found.rates
    assert rates.by_accord_at_most.value == pytest.approx(0.800)
    assert rates.by_accord.value == pytest.approx(140 / 185)
    assert rates.by_intake == pytest.approx(0.700)
    assert (rates.asked_at_most, rates.asleep, rates.live) == (10, 45, 140)


def test_deaths_and_losses_are_told_beside_the_rate_that_leaves_them_out() -> None:
    of = [
        *(charge(1, 9), charge(1, 9, outcome="not_said")),
        *(charge(1, 9, outcome="death"), charge(1, 9, outcome="loss")),
    ]

    rates = figures(of).rates

    assert (rates.by_accord.count, rates.by_accord.of) == (2, 2)
    assert (rates.of_all.count, rates.of_all.of) == (2, 4)
    assert (rates.died, rates.lost) == (1, 1)


def test_only_what_lies_in_the_period_counts() -> None:
    of = [charge(0, 10), charge(4, 11), charge(5, 20), charge(-9, 5), charge(11, 30)]

    found = figures(of, Period(on(5), on(10)))

    assert sum(found.intakes.values()) == 1
    assert sum(found.outcomes.values()) == 2


def test_of_nobody_nothing_is_said() -> None:
    found = figures([])

    assert (found.intakes, found.outcomes, found.stay.days) == ({}, {}, None)
    assert (found.stay.left_mean, found.capacity.needed) == (None, None)
    assert (found.rates.by_intake, found.returns.share.of) == (None, 0)
    assert (found.capacity.mean, found.capacity.most) == (0, 0)


def test_returns_count_homes_for_good_only_and_say_after_how_long() -> None:
    back = placed(1, 10, state="came_back", ended=40)
    there = placed(2, 50)
    fostered = placed(3, 60, kind="foster", state="came_back", ended=70)
    of = (
        *charges(record(time(0, 10), time(40, 50), placements=(back, there))),
        *charges(record(time(0, 60), time(70, None), placements=(fostered,))),
    )

    returns = figures(of).returns

    assert (returns.share.count, returns.share.of) == (1, 2)
    assert [(s.at, s.at_risk) for s in returns.course.steps] == [(30, 2)]
    assert returns.course.times == (30, 50)


# Stages.


def test_a_time_in_charge_cut_into_its_stages() -> None:
    one = charge(
        0,
        60,
        quarantines=(DaySpan(on(0), on(31)),),
        planned=(DaySpan(on(25), on(40)), DaySpan(on(55), on(60))),
        away=(DaySpan(on(40), on(50)),),
    )

    assert [
        (r.stage.value, (r.first_on - DAY).days, (r.until_on - DAY).days, r.ended)
        for r in runs_of(one, on=TODAY)
    ] == [
        ("quarantine", 0, 31, True),
        ("planned", 31, 40, True),
        ("away", 40, 50, True),
        ("ready", 50, 55, True),
        ("planned", 55, 60, True),
    ]


def test_the_last_run_of_who_is_still_here_has_not_ended() -> None:
    one = charge(95, quarantines=(DaySpan(on(90), None),))

    (run,) = runs_of(one, on=TODAY)

    assert (run.stage, run.until_on, run.ended) == (
        StayStage.QUARANTINE,
        on(101),
        False,
    )


def test_stages_count_runs_that_began_in_the_period() -> None:
    of = [
        charge(0, 40, quarantines=(DaySpan(on(0), on(30)),)),
        charge(60, quarantines=(DaySpan(on(60), None),)),
    ]
    period = Period(on(20), on(100))

    found = {s.stage: s for s in stage_figures(of, period=period, on=TODAY)}

    quarantine, ready = found[StayStage.QUARANTINE], found[StayStage.READY]
    assert (quarantine.animal_days, quarantine.course.times) == (10 + 41, (41.0,))
    assert quarantine.course.ended == 0
    assert (ready.animal_days, ready.course.median) == (10, 10.0)


def test_quarantines_and_plans_belong_to_the_time_they_lie_in() -> None:
    kept = Kept((DaySpan(on(0), on(5)), DaySpan(on(30), None)), on(90))
    of = record(time(0, 10, "lost"), time(30, None))

    first, second = charges(of, kept)

    assert first.quarantines == (DaySpan(on(0), on(5)),)
    assert second.quarantines == (DaySpan(on(30), None),)
    assert (first.planned, second.planned) == ((), (DaySpan(on(90), None),))


def test_why_a_record_is_left_out_is_one_of_six_reasons() -> None:
    assert {why.value for why in LeftOutWhy} == {
        *("negative", "to_come", "repeated", "open", "overlapping", "no_time_in_care")
    }


def test_a_period_holds_both_its_ends() -> None:
    period = Period(on(1), on(3))

    assert [period.holds(on(day)) for day in range(5)] == [
        *(False, True, True, True, False)
    ]
    assert period.holds(None) is False
    assert period.days == 3
