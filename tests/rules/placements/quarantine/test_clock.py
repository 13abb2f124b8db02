"""The clock of quarantine: by the published example, by hand, and by a second reading.

Days and restart: AZA guidance on quarantine, and Miller RE (1996), Rev Sci Tech OIE
15:183-189: at least 30 days, counted anew when new stock of the same order joins.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from placements.rules.quarantine.clock import (
    clock_restarts_on,
    earliest_end_on,
    exposures_of,
    joined,
)
from placements.rules.quarantine.values import Exposure, KeptApart, Visit
from tests.rules.placements.quarantine.made import day, kept, visit

ON, DAY = day(60), timedelta(days=1)


def ends(exposures: Sequence[Exposure], *, days: int = 30) -> date:
    return earliest_end_on(clock_restarts_on(day(0), exposures), days=days)


def test_a_newcomer_restarts_the_clock_as_published() -> None:
    old, newcomer = kept(1, 0), kept(2, 19)  # 2025-01-01, and 2025-01-20
    visits = {1: (visit(7, 0),), 2: (visit(7, 19),)}

    alone = exposures_of(old, [], visits=visits, on=ON)
    met = exposures_of(old, [newcomer], visits=visits, on=ON)

    assert ends(alone) == date(2025, 1, 31)
    assert met == (Exposure(date(2025, 1, 20), 2, "V-2", "Room 7"),)
    assert ends(met) == date(2025, 2, 19)


@pytest.mark.parametrize(
    ("others", "visits", "restarts"),
    [
        # Another room, another group, or nowhere at all.
        ([kept(2, 19)], {2: (visit(8, 19),)}, []),
        ([kept(2, 19, group="frogs")], {2: (visit(7, 19),)}, []),
        ([kept(2, 19)], {}, []),
        # The older one that the animal came to is no newcomer to it.
        ([kept(2, -9)], {2: (visit(7, -9),)}, []),
        # One that came on the same day neither.
        ([kept(2, 0)], {2: (visit(7, 0),)}, []),
        # It came later from another room of quarantine.
        ([kept(2, 5)], {2: (visit(8, 5, 12), visit(7, 12))}, [12]),
        # It lived there, and was put into quarantine later.
        ([kept(2, 15)], {2: (visit(7, -50),)}, [15]),
        # It died there on the day it came.
        ([kept(2, 19, 19)], {2: (visit(7, 19, 19, from_hour=9),)}, [19]),
        # It was let out before they met.
        ([kept(2, -9, 4)], {2: (visit(8, -9, 12), visit(7, 12))}, []),
        # It had gone again before its quarantine began.
        ([kept(2, 15)], {2: (visit(7, 5, 9), visit(8, 9))}, []),
        # Two newcomers, told oldest first.
        (
            [kept(3, 21), kept(2, 19)],
            {2: (visit(7, 19),), 3: (visit(7, 21),)},
            [19, 21],
        ),
        # One that goes and comes back from elsewhere meets it twice.
        (
            [kept(2, 10)],
            {2: (visit(7, 10, 14), visit(8, 14, 20), visit(7, 20))},
            [10, 20],
        ),
        # Days after the one asked about are not known yet.
        ([kept(2, 61)], {2: (visit(7, 61),)}, []),
    ],
)
def test_what_restarts_a_clock(
    others: list[KeptApart], visits: dict[int, tuple[Visit, ...]], restarts: list[int]
) -> None:
    visits = {1: (visit(7, 0),), **visits}

    found = exposures_of(kept(1, 0), others, visits=visits, on=ON)

    assert [exposure.on for exposure in found] == [day(n) for n in restarts]


def test_one_that_left_before_the_other_came_met_nobody() -> None:
    visits = {1: (visit(7, 0, 19, until_hour=10),), 2: (visit(7, 19, from_hour=11),)}

    assert exposures_of(kept(1, 0), [kept(2, 19)], visits=visits, on=ON) == ()


def test_the_one_that_moves_is_exposed_as_well() -> None:
    first, second = kept(1, 0), kept(2, 5)
    visits = {1: (visit(7, 0),), 2: (visit(8, 5, 12), visit(7, 12))}

    of_first = exposures_of(first, [second], visits=visits, on=ON)
    of_second = exposures_of(second, [first], visits=visits, on=ON)

    assert [e.on for e in of_first] == [e.on for e in of_second] == [day(12)]


def test_a_move_within_the_room_is_no_new_meeting() -> None:
    cage_to_cage = joined([visit(7, 10, 15), visit(7, 15, 20), visit(7, 20)])
    away_and_back = joined([visit(7, 10, 15), visit(8, 15, 20), visit(7, 20)])
    apart = joined([visit(7, 10, 15), visit(7, 16)])

    assert cage_to_cage == (visit(7, 10),)
    assert len(away_and_back) == 3
    assert len(apart) == 2
    assert joined([]) == ()


def test_two_that_change_rooms_together_do_not_meet_anew() -> None:
    """Nor those that part for a night; a day in between is a new meeting."""
    both = (visit(7, 0, 20), visit(8, 20))
    parted = {n: (visit(7, 0, 20), visit(n, 20, 21), visit(7, 21)) for n in (1, 2)}
    longer = {n: (visit(7, 0, 20), visit(n, 20, 22), visit(7, 22)) for n in (1, 2)}

    def met(visits: dict[int, tuple[Visit, ...]]) -> list[date]:
        found = exposures_of(kept(1, 0), [kept(2, 0)], visits=visits, on=ON)
        return [exposure.on for exposure in found]

    assert met({1: both, 2: both}) == []
    assert met(parted) == []
    assert met(longer) == [day(22)]


def test_days_are_counted_from_the_newest_exposure() -> None:
    def met(number: int) -> Exposure:
        return Exposure(day(number), 2, "V-2", "Room 7")

    assert clock_restarts_on(day(0), []) == day(0)
    assert clock_restarts_on(day(0), [met(-3)]) == day(0)
    assert clock_restarts_on(day(0), [met(3), met(1)]) == day(3)
    assert earliest_end_on(day(3), days=0) == day(3)


# Laws, and a second reading of the same words.

_SPELLS = st.tuples(st.integers(-5, 40), st.one_of(st.none(), st.integers(0, 20)))


@st.composite
def houses(
    draw: st.DrawFn,
) -> tuple[list[KeptApart], dict[int, tuple[Visit, ...]]]:
    """A few animals in two rooms, each with up to three visits one after the other."""
    found, visits = [], {}
    for animal in range(1, draw(st.integers(1, 5)) + 1):
        began, lasts = draw(_SPELLS)
        found.append(kept(animal, began, None if lasts is None else began + lasts))
        rows, cursor = [], began
        for _ in range(draw(st.integers(1, 3))):
            length = draw(st.integers(1, 12))
            rows.append(visit(draw(st.integers(7, 8)), cursor, cursor + length))
            cursor += length + draw(st.integers(0, 2))
        visits[animal] = joined(rows)
    return found, visits


def halves(visits: Sequence[Visit]) -> dict[tuple[date, int], int]:
    """In which room an animal was in each half of a day; visits here turn at noon."""
    found = {}
    for stay in visits:
        half = (stay.from_on, 1)
        while half != (stay.until_on, 1):
            found[half] = stay.room
            half = (half[0], 1) if half[1] == 0 else (half[0] + DAY, 0)
    return found


def held(animal: KeptApart, on: date) -> bool:
    return animal.began_on <= on <= (animal.ended_on or date.max)


def restarted_by_days(
    one: KeptApart,
    others: Sequence[KeptApart],
    visits: Mapping[int, Sequence[Visit]],
    on: date,
) -> date:
    """A day of company restarts the clock if the day before was none."""
    own, clock = halves(visits[one.animal]), one.began_on
    for other in others:
        theirs = halves(visits[other.animal])
        shared = {half[0] for half in own if own[half] == theirs.get(half)}
        days = {d for d in shared if held(one, d) and held(other, d)}
        if other.animal != one.animal:
            begins = {d for d in days if d - DAY not in days and d <= on}
            clock = max((clock, *begins))
    return clock


@given(houses())
def test_a_second_reading_day_by_day_says_the_same(
    house: tuple[list[KeptApart], dict[int, tuple[Visit, ...]]],
) -> None:
    animals, visits = house

    for one in animals:
        found = exposures_of(one, animals, visits=visits, on=ON)
        assert clock_restarts_on(one.began_on, found) == restarted_by_days(
            one, animals, visits, ON
        )


@given(houses(), st.randoms(use_true_random=False))
def test_the_order_of_exposures_makes_no_difference(
    house: tuple[list[KeptApart], dict[int, tuple[Visit, ...]]], random: object
) -> None:
    animals, visits = house
    shuffled = list(animals)
    random.shuffle(shuffled)  # type: ignore[attr-defined] # Hypothesis types it loosely

    for one in animals:
        found = exposures_of(one, animals, visits=visits, on=ON)
        again = exposures_of(one, shuffled, visits=visits, on=ON)
        assert again == found
        assert clock_restarts_on(one.began_on, reversed(found)) == clock_restarts_on(
            one.began_on, found
        )


@given(houses(), st.integers(-5, 60))
def test_a_later_newcomer_never_brings_the_day_forward(
    house: tuple[list[KeptApart], dict[int, tuple[Visit, ...]]], comes: int
) -> None:
    animals, visits = house
    newcomer = kept(99, comes)
    visits = {**visits, 99: (visit(7, comes),)}

    for one in animals:
        before = exposures_of(one, animals, visits=visits, on=ON)
        after = exposures_of(one, [*animals, newcomer], visits=visits, on=ON)
        assert clock_restarts_on(one.began_on, after) >= clock_restarts_on(
            one.began_on, before
        )
        assert set(before) <= set(after)


@given(houses())
def test_a_clock_never_starts_before_its_quarantine_nor_after_the_day(
    house: tuple[list[KeptApart], dict[int, tuple[Visit, ...]]],
) -> None:
    animals, visits = house

    for one in animals:
        found = exposures_of(one, animals, visits=visits, on=ON)
        other_group = [replace(k, group="frogs") for k in animals]
        assert all(one.began_on < e.on <= ON for e in found)
        assert exposures_of(one, other_group, visits=visits, on=ON) == ()
