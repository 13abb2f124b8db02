"""The kernel held to what others published, computed or know of local days."""

from datetime import date, time
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import integrate

from core.zones import day_bounds, instant
from husbandry.rules.conditions import Band, NightPlan, summarise
from husbandry.rules.vocabulary import Quantity
from tests.rules.conditions.days import day_and_night, one_probe, readings, rows

HOUR = 3600


def test_the_mean_is_weighted_by_time() -> None:
    # The worked input of a published example of mean kinetic temperature (20 °C for
    # 2 h, 2 °C for 4 h, 25 °C for 1 h): its plain time-weighted mean is 10.43 °C.
    # An unweighted mean of the three readings would be 15.67 °C.
    values = [(0, 20_000), (2 * HOUR, 2_000), (6 * HOUR, 25_000)]
    whole = one_probe((0, 0, 7 * HOUR, 7 * HOUR), hold_s=4 * HOUR)

    by_day = summarise(readings((0, at, (v, None, None)) for at, v in values), whole)

    assert by_day.mean()[0] == pytest.approx(10.43, abs=0.005)
    assert by_day.sum_milli_s[0] == (20 * 2 + 2 * 4 + 25) * HOUR * 1000


def test_mean_and_highest_uv_index_are_told_apart() -> None:
    # Ferguson 2010, Baines 2016: zone 3 has a mean UV index of 1.0–2.6 and a highest
    # one of 2.9–7.4, zone 4 a mean of 2.6–3.5 and a highest one of 4.5–9.5. The
    # highest of 5.0 below fits both; only the mean says that it is zone 3.
    values = [(0, 500), (4 * HOUR, 2_000), (6 * HOUR, 5_000), (8 * HOUR, 1_500)]
    plan = NightPlan.of(
        bounds=[(0, 0, 12 * HOUR, 12 * HOUR)],
        hold_s=[4 * HOUR],
        bands=[Band(0, Quantity.UV_INDEX, 0)],
    )

    night = summarise(readings((0, at, (None, None, v)) for at, v in values), plan)

    assert night.highest_milli[0] == 5_000
    assert 1.0 <= night.mean()[0] <= 2.6
    assert night.mean()[0] == pytest.approx((0.5 * 4 + 2 * 2 + 5 * 2 + 1.5 * 4) / 12)


def test_sums_are_integrals_of_the_steps() -> None:
    # Reference: scipy's trapezoid rule over the corners of the step function.
    random = np.random.default_rng(3)
    at = np.sort(random.choice(86_400, 500, replace=False))
    at[0] = 0
    milli = random.integers(15_000, 40_000, 500)
    low, high = 22_000, 32_000
    plan = one_probe((0, 0, 86_400, 86_400), hold_s=86_400, low=low, high=high)

    by_day, _ = day_and_night(list(zip(at.tolist(), milli.tolist(), strict=True)), plan)

    corners = np.repeat(np.append(at, 86_400), 2)[1:-1]
    steps = np.repeat(milli, 2)

    def area(heights: NDArray[np.int64]) -> int:
        return round(integrate.trapezoid(heights, corners))

    assert by_day["sum_milli_s"] == area(steps)
    assert by_day["below_milli_s"] == area(np.maximum(low - steps, 0))
    assert by_day["above_milli_s"] == area(np.maximum(steps - high, 0))
    assert by_day["below_s"] == area((steps < low).astype(int))


@pytest.mark.parametrize(
    ("on", "hours"),
    [(date(2026, 3, 29), 23), (date(2026, 3, 30), 24), (date(2026, 10, 25), 25)],
)
def test_local_days_of_23_24_and_25_hours(on: date, hours: int) -> None:
    # The IANA database: in Lisbon clocks go forward on 29 March 2026 and back on
    # 25 October 2026, both at 01:00 UTC, in the night.
    zone = ZoneInfo("Europe/Lisbon")
    start, end = day_bounds(on, zone=zone)
    bounds = (
        start,
        instant(on, time(7), zone=zone),
        instant(on, time(19), zone=zone),
        end,
    )
    values = [(at, 21_000) for at in range(start, end, 300)]

    by_day, by_night = day_and_night(values, one_probe(bounds, hold_s=900))

    assert by_day["expected_s"] == by_day["covered_s"] == 12 * HOUR
    assert by_night["expected_s"] == by_night["covered_s"] == (hours - 12) * HOUR
    assert by_day["readings"] + by_night["readings"] == hours * 12
    assert by_day["stuck_s"] == hours * HOUR


def test_sites_of_several_time_zones_are_summed_in_one_run() -> None:
    zones = [ZoneInfo("Europe/Lisbon"), ZoneInfo("Pacific/Auckland")]
    days = [day_bounds(date(2026, 4, 5), zone=zone) for zone in zones]
    plan = NightPlan.of(
        bounds=[(start, start, end, end) for start, end in days],
        hold_s=[900, 900],
        bands=[Band(n, Quantity.TEMPERATURE_C, 0) for n in range(2)],
    )
    first, last = min(d[0] for d in days), max(d[1] for d in days)
    values = readings(
        (n, at, (20_000, None, None))
        for at in range(first - HOUR, last, 300)
        for n in range(2)
    )

    night = summarise(values, plan)

    # New Zealand's clocks went back on 5 April 2026: a day of 25 hours.
    assert [r["covered_s"] for r in rows(night) if r["period"] == 0] == [
        24 * HOUR,
        25 * HOUR,
    ]
