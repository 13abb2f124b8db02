"""Small days, worked out on paper.

A day of 100 seconds: night from 0, lights on at 40, off at 80, over at 100. Values
in thousandths of a degree, held for 30 seconds at most.
"""

import numpy as np
import pytest

from husbandry.rules.conditions import (
    MISSING,
    Band,
    Bands,
    NightPlan,
    summarise,
)
from husbandry.rules.vocabulary import Quantity
from tests.rules.conditions.days import day_and_night, one_probe, readings, rows

DAY = (0, 40, 80, 100)


def plan(low: int = 20, high: int = 30, night: tuple[int, int] = (10, 20)) -> NightPlan:
    return one_probe(DAY, hold_s=30, low=low, high=high, night=night)


NOTHING = {
    "readings": 0, "covered_s": 0, "sum_milli_s": 0, "lowest_milli": MISSING,
    "lowest_at": MISSING, "highest_milli": MISSING, "below_s": 0, "inside_s": 0,
    "above_s": 0, "longest_below_s": 0, "longest_below_at": MISSING,
    "longest_above_s": 0, "longest_above_at": MISSING, "below_milli_s": 0,
    "above_milli_s": 0, "stuck_s": 0, "stuck_at": MISSING, "stuck_readings": 0,
    "impossible_s": 0,
}  # fmt: skip

# What was read; what is expected of the day; what of the night.
TABLE = {
    "nothing was read": ([], NOTHING, NOTHING),
    "one reading holds for its time, then there is a gap": (
        [(50, 25)],
        {"readings": 1, "covered_s": 30, "sum_milli_s": 750, "inside_s": 30,
         "lowest_milli": 25, "lowest_at": 50, "highest_milli": 25, "stuck_s": 30},
        NOTHING | {"stuck_s": 30, "stuck_at": 50, "stuck_readings": 1},
    ),
    "one reading before the day still holds when it opens": (
        [(-10, 12)],
        NOTHING | {"stuck_s": 20, "stuck_at": 0},
        {"readings": 0, "covered_s": 20, "sum_milli_s": 240, "lowest_at": 0,
         "inside_s": 20, "stuck_s": 20, "stuck_readings": 0},
    ),
    "a reading whose hold ends as the day opens has no part in it": (
        [(-30, 12)], NOTHING, NOTHING,
    ),
    "of two readings before the day the later one is in force": (
        [(-20, 12), (-10, 15)], NOTHING | {"stuck_s": 20, "stuck_at": 0},
        {"covered_s": 20, "sum_milli_s": 300, "lowest_milli": 15},
    ),
    "a reading at the day's end belongs to the next day": (
        [(100, 25)], NOTHING, NOTHING,
    ),
    "a reading at lights on counts for the day": (
        [(30, 12), (40, 25)],
        {"readings": 1, "covered_s": 30, "sum_milli_s": 750, "lowest_milli": 25},
        {"readings": 1, "covered_s": 10, "sum_milli_s": 120, "highest_milli": 12},
    ),
    "a value in force is cut where the lights go on": (
        [(30, 25)],
        {"readings": 0, "covered_s": 20, "inside_s": 20, "above_s": 0, "lowest_at": 40},
        {"readings": 1, "covered_s": 10, "above_s": 10, "above_milli_s": 50,
         "longest_above_s": 10, "longest_above_at": 30},
    ),
    "exactly at the limits is inside": (
        [(40, 20), (60, 30)],
        {"covered_s": 40, "inside_s": 40, "below_s": 0, "above_s": 0},
        {"covered_s": 10, "above_s": 10},
    ),
    "just over the limits is outside": (
        [(40, 19), (60, 31)],
        {"inside_s": 0, "below_s": 20, "above_s": 20, "below_milli_s": 20,
         "above_milli_s": 20, "longest_below_at": 40, "longest_above_at": 60},
        {"covered_s": 10, "above_s": 10, "above_milli_s": 110},
    ),
    "a gap ends a spell": (
        [(40, 15), (75, 14)],
        {"covered_s": 35, "below_s": 35, "longest_below_s": 30, "longest_below_at": 40},
        {"covered_s": 20, "below_s": 0},
    ),
    "the two pieces of a night are spells of their own": (
        [(20, 5), (80, 5)],
        {"covered_s": 10, "below_s": 10, "longest_below_s": 10},
        {"covered_s": 40, "below_s": 40, "longest_below_s": 20, "longest_below_at": 20,
         "below_milli_s": 200},
    ),
    "the second piece of a night has the longer spell": (
        [(35, 5), (80, 5)],
        {"covered_s": 25},
        {"below_s": 25, "longest_below_s": 20, "longest_below_at": 80},
    ),
    "a spell goes on while the value changes": (
        [(40, 15), (50, 10), (60, 25)],
        {"below_s": 20, "longest_below_s": 20, "below_milli_s": 150, "lowest_at": 50,
         "lowest_milli": 10, "highest_milli": 25, "highest_at": 60},
        {"covered_s": 10},
    ),
    "an impossible value counts as nothing but itself, and ends a spell": (
        [(40, 15), (50, 99_000), (60, 15)],
        {"readings": 3, "covered_s": 30, "impossible_s": 10, "below_s": 30,
         "longest_below_s": 20, "longest_below_at": 60, "highest_milli": 15,
         "stuck_s": 30, "stuck_at": 60, "stuck_readings": 1},
        {"covered_s": 10, "impossible_s": 0},
    ),
    "an identical value runs on through day and night": (
        [(20, 15), (40, 15), (60, 15), (80, 16)],
        {"stuck_s": 60, "stuck_at": 20, "stuck_readings": 3},
        {"stuck_s": 60, "stuck_at": 20, "stuck_readings": 3},
    ),
}  # fmt: skip


@pytest.mark.parametrize(("values", "day", "night"), TABLE.values(), ids=TABLE.keys())
def test_a_small_day(
    values: list[tuple[int, int]], day: dict[str, int], night: dict[str, int]
) -> None:
    by_day, by_night = day_and_night(values, plan())

    assert by_day | day == by_day
    assert by_night | night == by_night
    assert (by_day["expected_s"], by_night["expected_s"]) == (40, 60)


@pytest.mark.parametrize(
    ("bounds", "day_s", "night_s"),
    [((0, 0, 0, 100), 0, 100), ((0, 0, 100, 100), 100, 0)],
    ids=["polar night", "polar day"],
)
def test_a_day_without_one_of_its_periods(
    bounds: tuple[int, int, int, int], day_s: int, night_s: int
) -> None:
    values = [(at, 25) for at in range(0, 100, 20)]

    by_day, by_night = day_and_night(values, one_probe(bounds, hold_s=30))

    assert (by_day["expected_s"], by_day["covered_s"]) == (day_s, day_s)
    assert (by_night["expected_s"], by_night["covered_s"]) == (night_s, night_s)
    assert by_day["stuck_s"] == 100


def test_quantities_of_a_probe_hold_each_for_itself() -> None:
    band_of = [
        Band(0, Quantity.TEMPERATURE_C, 0),
        Band(0, Quantity.HUMIDITY_PCT, 0, 40_000, MISSING),
    ]
    night = summarise(
        readings([(0, 40, (25, 50_000, 7)), (0, 50, (26, None, 7))]),
        NightPlan.of(bounds=[DAY], hold_s=[30], bands=band_of),
    )

    degrees, _, humidity, _ = rows(night)
    assert (degrees["readings"], degrees["sum_milli_s"]) == (2, 25 * 10 + 26 * 30)
    assert (humidity["readings"], humidity["sum_milli_s"]) == (1, 50_000 * 30)
    assert len(night) == 4, "the UV index has no band, so it is not summed up"


def test_bands_of_one_probe_are_compared_each_for_itself() -> None:
    bands = [
        Band(0, Quantity.TEMPERATURE_C, 7, 26, 30),
        Band(0, Quantity.TEMPERATURE_C, 0, 20, 24),
    ]
    night = summarise(
        readings([(0, 40, (25, None, None))]),
        NightPlan.of(bounds=[DAY], hold_s=[30], bands=bands),
    )

    by_day = [row for row in rows(night) if row["period"] == 0]
    assert [(r["band"], r["below_s"], r["above_s"]) for r in by_day] == [
        (0, 0, 30),
        (7, 30, 0),
    ]


def test_of_two_values_at_one_instant_the_last_to_arrive_counts() -> None:
    night = summarise(
        readings(
            [
                (0, 40, (25, 50_000, None)),
                (0, 40, (27, None, None)),
                (0, 40, (26, None, None)),
            ]
        ),
        NightPlan.of(
            bounds=[DAY],
            hold_s=[30],
            bands=[
                Band(0, Quantity.TEMPERATURE_C, 0),
                Band(0, Quantity.HUMIDITY_PCT, 0),
            ],
        ),
    )

    degrees, _, humidity, _ = rows(night)
    assert (degrees["readings"], degrees["lowest_milli"]) == (1, 26)
    assert (humidity["readings"], humidity["lowest_milli"]) == (1, 50_000)


def test_a_plan_without_probes_has_no_rows() -> None:
    empty = NightPlan.of(bounds=[], hold_s=[], bands=[])

    assert len(summarise(readings([]), empty)) == 0


def test_the_mean_is_missing_where_nothing_was_covered() -> None:
    night = summarise(readings([(0, 40, (25_000, None, None))]), plan())

    assert night.mean().tolist() == pytest.approx([25.0, np.nan], nan_ok=True)


def test_a_plan_out_of_order_is_refused() -> None:
    with pytest.raises(ValueError, match="in order of time"):
        one_probe((0, 50, 40, 100), hold_s=30)
    with pytest.raises(ValueError, match="hold_s must lie"):
        one_probe(DAY, hold_s=0)
    with pytest.raises(ValueError, match="lower end"):
        one_probe(DAY, hold_s=30, low=30, high=20)
    with pytest.raises(ValueError, match="in order of probe"):
        Bands.of([Band(0, Quantity.UV_INDEX, 0), Band(0, Quantity.UV_INDEX, 0)])


def test_probes_without_any_reading_have_rows() -> None:
    bands = [Band(n, Quantity.TEMPERATURE_C, 0) for n in range(3)]
    whole = NightPlan.of(bounds=[DAY] * 3, hold_s=[30] * 3, bands=bands)

    night = summarise(readings([(1, 40, (25, None, None))]), whole)

    assert night.covered_s.tolist() == [0, 0, 30, 0, 0, 0]
    assert night.expected_s.tolist() == [40, 60] * 3


def test_a_reading_far_from_its_day_reaches_no_other_probe_either() -> None:
    bands = [Band(n, Quantity.TEMPERATURE_C, 0) for n in range(3)]
    whole = NightPlan.of(bounds=[DAY] * 3, hold_s=[30] * 3, bands=bands)
    far = [
        (1, at, (25, None, None))
        for distance in range(0, 500, 7)
        for at in (-30 - distance, 100 + distance)
    ]

    assert not summarise(readings(far), whole).covered_s.any()
