"""The month sheet, against days counted on a paper calendar."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from placements.rules.packets.calendars import Dusting, Rhythm, calendar

CALCIUM = Dusting("calcium", "calcium", (), "")
MULTI = Dusting("multi", "multivitamin", (1, 15), "calcium")
FIRST = date(2026, 3, 20)


def sheet(
    low: int, high: int, *dustings: Dusting, first: date = FIRST
) -> dict[date, tuple[str, ...]]:
    found = calendar(
        first_on=first,
        rhythm_on=lambda on: Rhythm(low, high),
        dustings_on=lambda on: dustings,
    )
    return {d.on: d.supplements for d in found if d.feed}


def test_sheet_has_five_weeks() -> None:
    found = calendar(
        first_on=FIRST, rhythm_on=lambda on: None, dustings_on=lambda on: ()
    )

    assert [d.on for d in found] == [FIRST + timedelta(days=n) for n in range(35)]
    assert not any(d.feed for d in found)


def test_daily_feeding_with_two_days_of_multivitamin() -> None:
    found = sheet(1, 1, CALCIUM, MULTI)

    assert len(found) == 35
    assert {on for on, s in found.items() if s == ("multivitamin",)} == {
        date(2026, 4, 1),
        date(2026, 4, 15),
    }
    assert set(found.values()) == {("calcium",), ("multivitamin",)}


@pytest.mark.parametrize(
    ("low", "high", "days"),
    [
        (1, 1, [20, 21, 22, 23, 24, 25]),
        (2, 2, [20, 22, 24, 26, 28, 30]),
        (2, 3, [20, 22, 25, 27, 30]),
        (3, 3, [20, 23, 26, 29]),
    ],
)
def test_rhythm(low: int, high: int, days: list[int]) -> None:
    march = [on.day for on in sheet(low, high) if on.month == 3]

    assert march[: len(days)] == days


def test_day_without_food_hands_its_supplement_to_the_next_feeding() -> None:
    # Every other day from 21 March: 31 March, 2 April; the 1st goes without food.
    found = sheet(2, 2, CALCIUM, MULTI, first=date(2026, 3, 21))

    assert date(2026, 4, 1) not in found
    assert found[date(2026, 4, 2)] == ("multivitamin",)
    assert found[date(2026, 4, 16)] == ("multivitamin",)
    assert sum(s == ("multivitamin",) for s in found.values()) == 2


def test_supplement_that_replaces_nothing_is_added() -> None:
    found = sheet(1, 1, CALCIUM, Dusting("a", "vitamin A", (5,), ""))

    assert found[date(2026, 4, 5)] == ("calcium", "vitamin A")


def test_feeding_changes_with_the_life_stage() -> None:
    turn = date(2026, 4, 1)
    found = calendar(
        first_on=FIRST,
        rhythm_on=lambda on: Rhythm(1, 1) if on < turn else Rhythm(2, 2),
        dustings_on=lambda on: (),
    )

    fed = [d.on for d in found if d.feed]

    assert fed[:13] == [FIRST + timedelta(days=n) for n in range(13)]
    assert fed[13:16] == [date(2026, 4, 3), date(2026, 4, 5), date(2026, 4, 7)]


@given(
    st.dates(date(2020, 1, 1), date(2030, 1, 1)), st.integers(1, 4), st.integers(0, 3)
)
def test_every_feeding_is_dusted_and_nothing_else_is(
    first: date, low: int, more: int
) -> None:
    found = calendar(
        first_on=first,
        rhythm_on=lambda on: Rhythm(low, low + more),
        dustings_on=lambda on: (CALCIUM, MULTI),
    )

    assert found[0].feed
    assert all(bool(d.supplements) is d.feed for d in found)
    assert sum(d.supplements == ("multivitamin",) for d in found) <= 3
