"""Hours of a day, worked out by hand; days of 23 and 25 hours from the calendar."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from clutches.rules.incubation.hours import hourly_means
from husbandry.rules.clock import LocalDay
from husbandry.rules.conditions import (
    MISSING,
    Band,
    NightPlan,
    Readings,
    summarise,
)
from husbandry.rules.vocabulary import Quantity
from tests.rules.clutches.incubation.made import DAY, HOUR_S, START_S

NEVER = 10**6


def means(
    readings: list[tuple[int, int]], *, day: LocalDay = DAY, hold_s: int = 900
) -> tuple[int | None, ...]:
    at_s = np.array([day.start_s + at for at, _ in readings], np.int64)
    milli_c = np.array([value for _, value in readings], np.int64)
    return hourly_means(at_s, milli_c, day=day, hold_s=hold_s)


def local_day(year: int, month: int, day: int, zone: str) -> LocalDay:
    on = date(year, month, day)
    ends = [
        datetime(year, month, d, tzinfo=ZoneInfo(zone)).astimezone(UTC)
        for d in (day, day + 1)
    ]
    return LocalDay(on, *(int(end.timestamp()) for end in ends))


@pytest.mark.parametrize(
    ("readings", "hold_s", "first"),
    [
        # 26 °C for 20 min, then 28 °C for 40 min: (20·26 + 40·28)/60 = 27.333.
        ([(0, 26_000), (1200, 28_000), (3600, 0)], NEVER, 27_333),
        # A reading of the evening before holds into the hour: 30 min at 25, 30 at 27.
        ([(-600, 25_000), (1800, 27_000)], 3600, 26_000),
        # It holds for 40 min of which 10 lie before midnight: 30 min are known.
        ([(-600, 25_000)], 2400, 25_000),
        # One second less than half of the hour is known.
        ([(-601, 25_000)], 2400, None),
        # Of two at one instant the one that came last.
        ([(0, 20_000), (0, 26_000)], NEVER, 26_000),
        # In whatever order they came.
        ([(1800, 27_000), (0, 25_000)], NEVER, 26_000),
        # 85 °C cannot be: known for 29 min 59 s, then for 30 min.
        ([(0, 26_000), (1799, 85_000)], NEVER, None),
        ([(0, 26_000), (1800, 85_000)], NEVER, 26_000),
        # A reading without a temperature ends nothing.
        ([(0, 26_000), (1200, MISSING)], NEVER, 26_000),
        # Cold below zero is rounded like warmth: (−1·3599 + 0·1)/3600.
        ([(0, -1), (3599, 0)], NEVER, -1),
        ([], NEVER, None),
    ],
)
def test_first_hour(
    readings: list[tuple[int, int]], hold_s: int, first: int | None
) -> None:
    assert means(readings, hold_s=hold_s)[0] == first


def test_a_reading_holds_over_hours_and_no_longer_than_it_may() -> None:
    # From 00:30 for 2 h: half of the first hour, two hours whole, half of the third.
    found = means([(1800, 26_000)], hold_s=2 * HOUR_S)

    assert found == (26_000, 26_000, 26_000, *[None] * 21)


@pytest.mark.parametrize(
    ("day", "hours"),
    [
        (local_day(2026, 3, 29, "Europe/Berlin"), 23),
        (local_day(2026, 10, 25, "Europe/Berlin"), 25),
        (local_day(2026, 6, 15, "Europe/Berlin"), 24),
        # Clocks go back by half an hour: 24 hours and a half of one.
        (local_day(2026, 4, 5, "Australia/Lord_Howe"), 25),
    ],
)
def test_days_have_as_many_hours_as_they_last(day: LocalDay, hours: int) -> None:
    length_s = day.end_s - day.start_s

    assert means([(0, 26_000)], day=day, hold_s=length_s) == (26_000,) * hours


def test_a_last_hour_that_is_short_is_known_by_half_of_itself() -> None:
    day = LocalDay(DAY.on, START_S, START_S + HOUR_S + 1800)

    assert means([(3600, 26_000)], day=day, hold_s=900) == (None, 26_000)
    assert means([(3600, 26_000)], day=day, hold_s=899) == (None, None)


READING = st.tuples(
    st.integers(-7200, 24 * HOUR_S + 100),
    st.one_of(st.integers(-12_000, 62_000), st.just(MISSING)),
)


@given(st.lists(READING, max_size=40), st.integers(1, 9000), st.randoms())
def test_hours_add_up_to_what_the_review_says(
    readings: list[tuple[int, int]], hold_s: int, order: object
) -> None:
    """The nightly kernel, asked for one hour at a time, gives the same mean."""
    found = means(readings, hold_s=hold_s)

    for hour, mean in enumerate(found):
        covered_s, sum_milli_s = kernel(readings, hold_s, hour)
        if 2 * covered_s >= HOUR_S:
            assert mean == round(sum_milli_s / covered_s)
        else:
            assert mean is None


def kernel(readings: list[tuple[int, int]], hold_s: int, hour: int) -> tuple[int, int]:
    from_s = START_S + hour * HOUR_S
    count = len(readings)
    night = summarise(
        Readings(
            probe=np.zeros(count, np.int32),
            at=np.array([START_S + at for at, _ in readings], np.int64),
            temperature=np.array([value for _, value in readings], np.int32),
            humidity=np.full(count, MISSING, np.int32),
            uv_index=np.full(count, MISSING, np.int32),
        ),
        NightPlan.of(
            bounds=[(from_s, from_s, from_s + HOUR_S, from_s + HOUR_S)],
            hold_s=[hold_s],
            bands=[Band(0, Quantity.TEMPERATURE_C, 0)],
        ),
    )
    return int(night.covered_s[0]), int(night.sum_milli_s[0])
