"""Probes show the climate with noise, in steps, and with their own faults."""

from datetime import date, time
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from demo.climate import Climate
from demo.instruments import Trouble, is_silent, record
from demo.nights import Nights
from demo.plans import ProbePlan
from husbandry.rules.vocabulary import Quantity, Zone

NIGHTS = Nights(date(2026, 3, 14), ZoneInfo("Europe/Lisbon"))
T, H, U = Quantity.TEMPERATURE_C, Quantity.HUMIDITY_PCT, Quantity.UV_INDEX


def probe(zone: Zone = Zone.AMBIENT, *quantities: Quantity) -> ProbePlan:
    return ProbePlan("X-1", "X", zone, quantities or (T, H), 10, 3, "x.csv", "X")


def climate(**courses: float) -> Climate:
    minutes = 15 * 24 * 60
    given = {"air_c": 24.0, "basking_c": 29.0, "humidity_pct": 45.0, "uv_index": 3.0}
    return Climate(
        **{name: np.full((minutes, 1), v) for name, v in (given | courses).items()}
    )


def recorded(one: ProbePlan, *troubles: Trouble, seed: int = 1, **courses: float):
    return record(
        one,
        climate=climate(**courses),
        place=0,
        nights=NIGHTS,
        troubles=troubles,
        seed=seed,
    )


def test_a_probe_records_on_its_own_minutes_all_fortnight():
    series = recorded(probe())

    assert len(series.at_s) == 14 * 24 * 6
    assert series.at_s[0] == NIGHTS.bounds_s(1)[0] + 3 * 60
    assert set(np.diff(series.at_s)) == {600}


def test_a_probe_shows_the_truth_of_its_zone_with_little_noise():
    air = recorded(probe())
    perch = recorded(probe(Zone.BASKING, T, U))

    # Means of 2016 readings: the noise of 0.1 K and 0.6 % falls to 1/45 of that.
    assert air.values[T].mean() == pytest.approx(24.0, abs=0.02)
    assert air.values[H].mean() == pytest.approx(45.0, abs=0.1)
    assert perch.values[T].mean() == pytest.approx(29.0, abs=0.02)
    assert perch.values[U].mean() == pytest.approx(3.0, abs=0.02)
    assert 0 < air.values[T].std() < 0.2


def test_a_probe_shows_steps_of_a_tenth():
    shown = recorded(probe()).values[T]

    assert np.abs(shown * 10 - np.round(shown * 10)).max() < 1e-9


def test_the_dark_is_exactly_dark_and_humidity_ends_at_100():
    dark = recorded(probe(Zone.BASKING, T, U), uv_index=0.0)
    wet = recorded(probe(), humidity_pct=100.0)

    assert np.all(dark.values[U] == 0)
    assert wet.values[H].max() == 100


def test_the_same_seed_gives_the_same_course_and_another_seed_another():
    first, again = recorded(probe()), recorded(probe())
    other = recorded(probe(), seed=2)

    assert np.array_equal(first.values[T], again.values[T])
    assert not np.array_equal(first.values[T], other.values[T])


def test_a_trouble_shows_its_value_from_then_to_then_and_only_there():
    stuck = Trouble("X-1", H, 5, time(6), 6, time(8, 30), 55.5)

    series = recorded(probe(), stuck)
    whole = recorded(probe())

    at = [
        NIGHTS.instant_s(night, clock)
        for night, clock in ((5, time(6)), (6, time(8, 30)))
    ]
    inside = (series.at_s >= at[0]) & (series.at_s < at[1])
    assert np.all(series.values[H][inside] == 55.5)
    assert inside.sum() == 26 * 6 + 3
    assert np.array_equal(series.values[H][~inside], whole.values[H][~inside])
    assert np.array_equal(series.values[T], whole.values[T])


def test_a_silent_probe_shows_nothing_and_others_are_not_touched():
    silent = Trouble("X-1", None, 12, time(0), 15, time(0), None)
    elsewhere = Trouble("Y-1", None, 1, time(0), 15, time(0), None)

    series = recorded(probe(), silent, elsewhere)

    assert is_silent(series).sum() == 3 * 24 * 6
    assert not is_silent(series)[: 11 * 24 * 6].any()
