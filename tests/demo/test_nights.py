"""The demo's calendar on a local clock, also where the clocks change."""

from datetime import date, time
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from demo.nights import Nights
from demo.plans import NIGHTS

LISBON = ZoneInfo("Europe/Lisbon")


def test_nights_are_counted_back_from_the_last():
    nights = Nights(date(2026, 3, 14), LISBON)

    assert nights.on(NIGHTS) == date(2026, 3, 14)
    assert nights.on(1) == date(2026, 3, 1)
    assert nights.on(0) == date(2026, 2, 28)
    assert nights.number(date(2026, 3, 2)) == 2


@pytest.mark.parametrize(
    ("until", "hours"),
    # Source: IANA time zone database: Lisbon changes on 29 Mar and 25 Oct 2026.
    [
        (date(2026, 3, 14), 15 * 24),
        (date(2026, 4, 1), 15 * 24 - 1),
        (date(2026, 11, 1), 15 * 24 + 1),
    ],
)
def test_every_minute_of_fifteen_days_is_simulated(until: date, hours: int):
    steps_s = Nights(until, LISBON).steps_s()

    assert len(steps_s) == hours * 60
    assert np.all(np.diff(steps_s) == 60)


def test_a_step_belongs_to_the_local_day_it_begins_in():
    nights = Nights(date(2026, 11, 1), LISBON)
    steps_s = nights.steps_s()

    numbers = nights.numbers_of(steps_s)

    counts = np.bincount(numbers)
    # Night 7 is 25 October 2026, when the clock goes back: 25 hours.
    assert counts.tolist() == [1440] * 7 + [1500] + [1440] * 7


def test_lights_follow_the_local_clock_over_a_change():
    nights = Nights(date(2026, 11, 1), LISBON)

    before, after = (nights.moment(night, time(8)) for night in (6, 7))

    assert (before.hour, after.hour) == (8, 8)
    assert after.timestamp() - before.timestamp() == 25 * 3600
