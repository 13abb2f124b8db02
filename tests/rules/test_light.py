"""Sunrise, sunset and day length against published tables and a reference library.

Sources: docs/sources.md, noaa-solar (the equations), usno-london (the almanac's
London table, as carried by the astral library's own tests) and fao-56.
"""

from datetime import UTC, date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from astral import Observer
from astral import sun as reference
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from husbandry.rules.light import SunTimes, day_length_h, sun_times, sunrise, sunset

LONDON = {"latitude_deg": 51.5, "longitude_deg": -0.1167}
DAYS = st.dates(date(2000, 1, 1), date(2060, 12, 31))
# Published, UTC; see the head of this file.
LONDON_TABLE = [
    (date(2015, 1, 1), "08:06", "16:01"),
    (date(2015, 12, 1), "07:43", "15:55"),
    (date(2015, 12, 2), "07:45", "15:54"),
    (date(2015, 12, 3), "07:46", "15:54"),
    (date(2015, 12, 12), "07:56", "15:51"),
    (date(2015, 12, 25), "08:05", "15:55"),
]


def at(on: date, clock: str, zone: str = "UTC") -> int:
    hours, minutes = clock.split(":")
    zoned = datetime(
        on.year, on.month, on.day, int(hours), int(minutes), tzinfo=ZoneInfo(zone)
    )
    return int(zoned.timestamp())


@pytest.mark.parametrize(("on", "rises", "sets"), LONDON_TABLE)
def test_sun_over_london_is_the_almanacs_to_two_minutes(
    on: date, rises: str, sets: str
) -> None:
    assert sunrise(**LONDON, on=on) == pytest.approx(at(on, rises), abs=120)
    assert sunset(**LONDON, on=on) == pytest.approx(at(on, sets), abs=120)


def test_new_years_day_in_london_lasts_7_h_55() -> None:
    hours = day_length_h(latitude_deg=51.5, on=date(2015, 1, 1))

    assert hours == pytest.approx(7 + 55 / 60, abs=2 / 60)


# Computed with the astral library for Ta'izz, where the species lives.
@pytest.mark.parametrize(
    ("on", "hours"), [(date(2025, 12, 21), 11.32), (date(2025, 6, 21), 12.92)]
)
def test_day_in_the_native_range_is_between_11_and_13_hours(
    on: date, hours: float
) -> None:
    assert day_length_h(latitude_deg=13.58, on=on) == pytest.approx(hours, abs=0.02)


def test_geometric_day_is_that_of_fao_56() -> None:
    # fao-56, example 9: 20° south on 3 September, 11.7 h. Its declination is a
    # sine of the day number, off by half a degree there, which is 3 minutes.
    hours = day_length_h(latitude_deg=-20, on=date(2025, 9, 3), altitude_deg=0)

    assert hours == pytest.approx(11.7, abs=0.07)


# Computed twice, by both definitions; the difference is why ours names its own.
@pytest.mark.parametrize(
    ("latitude_deg", "on", "geometric_h", "almanac_h"),
    [(0, date(2025, 3, 1), 12.00, 12.12), (45, date(2025, 6, 21), 15.42, 15.61)],
)
def test_day_by_the_almanac_is_longer_than_the_geometric_one(
    latitude_deg: float, on: date, geometric_h: float, almanac_h: float
) -> None:
    geometric = day_length_h(latitude_deg=latitude_deg, on=on, altitude_deg=0)
    almanac = day_length_h(latitude_deg=latitude_deg, on=on)

    assert geometric == pytest.approx(geometric_h, abs=0.01)
    assert almanac == pytest.approx(almanac_h, abs=0.01)


@pytest.mark.parametrize(
    ("latitude_deg", "on", "hours"),
    [
        (85, date(2025, 12, 21), 0),
        (85, date(2025, 6, 21), 24),
        (-85, date(2025, 6, 21), 0),
        (-85, date(2025, 12, 21), 24),
        (90, date(2025, 6, 21), 24),
        (-90, date(2025, 6, 21), 0),
    ],
)
def test_day_near_the_poles_is_nothing_or_everything(
    latitude_deg: float, on: date, hours: float
) -> None:
    assert day_length_h(latitude_deg=latitude_deg, on=on) == hours
    assert sunrise(latitude_deg=latitude_deg, longitude_deg=0, on=on) is None
    assert sunset(latitude_deg=latitude_deg, longitude_deg=0, on=on) is None


@settings(max_examples=300, deadline=None)
@given(st.floats(-60, 60), st.floats(-180, 180), DAYS)
def test_sun_is_where_the_reference_library_puts_it(
    latitude_deg: float, longitude_deg: float, on: date
) -> None:
    place = {"latitude_deg": latitude_deg, "longitude_deg": longitude_deg}
    observer = Observer(latitude_deg, longitude_deg)
    zone = timezone(timedelta(hours=round(longitude_deg / 15)))

    for ours, theirs in ((sunrise, reference.sunrise), (sunset, reference.sunset)):
        found = ours(**place, on=on)
        # The library takes the sun's place of the next day, or finds nothing, where
        # the event falls on another UTC day than the one asked for.
        assume(datetime.fromtimestamp(found, UTC).date() == on)
        expected = theirs(observer, date=on, tzinfo=zone).timestamp()
        assert found == pytest.approx(expected, abs=90)


@given(st.floats(-60, 60), st.floats(-180, 180), DAYS)
def test_sunset_less_sunrise_is_the_day_length(
    latitude_deg: float, longitude_deg: float, on: date
) -> None:
    place = {"latitude_deg": latitude_deg, "longitude_deg": longitude_deg}

    up_h = (sunset(**place, on=on) - sunrise(**place, on=on)) / 3600

    # The declination is that of noon UTC in one and of the event in the other.
    assert up_h == pytest.approx(
        day_length_h(latitude_deg=latitude_deg, on=on), abs=0.1
    )


@given(st.floats(-90, 90), DAYS)
def test_day_length_is_between_nothing_and_a_day(latitude_deg: float, on: date) -> None:
    assert 0 <= day_length_h(latitude_deg=latitude_deg, on=on) <= 24


def test_sun_times_follow_the_local_day() -> None:
    on = date(2026, 6, 21)
    lisbon = {"latitude_deg": 38.72, "longitude_deg": -9.14}

    times = sun_times(**lisbon, on=on, zone=ZoneInfo("Europe/Lisbon"))

    assert times == SunTimes(sunrise(**lisbon, on=on), sunset(**lisbon, on=on))
    assert at(on, "06:00", "Europe/Lisbon") < times.sunrise_s
    assert times.sunset_s < at(on, "21:15", "Europe/Lisbon")


def test_sun_times_lie_in_the_local_day_across_the_date_line() -> None:
    # Kiritimati is 157° west and keeps UTC+14: its noon by longitude is dated a
    # day later than its clocks say.
    on = date(2026, 3, 1)
    zone = "Pacific/Kiritimati"

    times = sun_times(
        latitude_deg=1.87, longitude_deg=-157.43, on=on, zone=ZoneInfo(zone)
    )

    assert at(on, "06:00", zone) < times.sunrise_s < at(on, "07:00", zone)
    assert at(on, "18:00", zone) < times.sunset_s < at(on, "19:00", zone)


def test_sun_times_lie_in_the_local_day_where_the_clock_lags_the_sun() -> None:
    # No inhabited place does this today; the zone is borrowed to reach the branch.
    on = date(2026, 3, 1)
    zone = ZoneInfo("Etc/GMT+12")

    times = sun_times(latitude_deg=0, longitude_deg=179.9, on=on, zone=zone)

    noon = (times.sunrise_s + times.sunset_s) // 2
    assert datetime.fromtimestamp(noon, zone).date() == on


def test_sun_times_at_midsummer_beyond_the_circle_are_the_whole_local_day() -> None:
    on, zone = date(2026, 6, 21), ZoneInfo("Arctic/Longyearbyen")

    times = sun_times(latitude_deg=78.2, longitude_deg=15.6, on=on, zone=zone)

    assert times == SunTimes(
        at(on, "00:00", zone.key), at(date(2026, 6, 22), "00:00", zone.key)
    )


def test_sun_times_at_midwinter_beyond_the_circle_are_no_day_at_all() -> None:
    on, zone = date(2026, 12, 21), ZoneInfo("Arctic/Longyearbyen")

    times = sun_times(latitude_deg=78.2, longitude_deg=15.6, on=on, zone=zone)

    assert times.sunrise_s == times.sunset_s == at(on, "00:00", zone.key)


@pytest.mark.parametrize(("latitude_deg", "longitude_deg"), [(90.1, 0), (0, 180.1)])
def test_sun_over_no_place_on_earth_is_refused(
    latitude_deg: float, longitude_deg: float
) -> None:
    with pytest.raises(ValueError, match="does not exist; give"):
        sunrise(
            latitude_deg=latitude_deg,
            longitude_deg=longitude_deg,
            on=date(2026, 1, 1),
        )
