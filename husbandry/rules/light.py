"""Sunrise, sunset and the length of the day, for enclosures lit by the sun.

Sunrise and sunset are the instants at which the sun's centre stands 0.833° below
the horizon: 34′ of refraction and 16′ of disc. A day counted so is longer than the
geometric one: 12.1 h, not 12.0 h, at the equator.

Source:
    noaa-solar in docs/sources.md: the equations of NOAA's solar calculator, after
    Meeus. Good to about a minute between 72° south and 72° north; nearer the poles
    refraction makes any such figure uncertain by several minutes.
"""

import math
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import NamedTuple
from zoneinfo import ZoneInfo

SUNRISE_ALTITUDE_DEG = -0.833
DAY_S = 86_400
_MINUTES_PER_DEGREE = 4
_NOON_MIN = 720
_HALF_DAY_H = 12
_J2000 = 2_451_545.0
_UNIX_EPOCH_JD = 2_440_587.5
_DAYS_PER_CENTURY = 36_525


class SunTimes(NamedTuple):
    """Sunrise and sunset as epoch seconds; equal where the sun stays down."""

    sunrise_s: int
    sunset_s: int


@dataclass(frozen=True, slots=True)
class _Sun:
    declination_rad: float
    equation_of_time_min: float


def day_length_h(
    *, latitude_deg: float, on: date, altitude_deg: float = SUNRISE_ALTITUDE_DEG
) -> float:
    """Return how long the sun is up, in hours.

    Args:
        latitude_deg: north positive, −90 to 90.
        on: the day; the sun's declination is taken at 12:00 UTC.
        altitude_deg: where the sun's centre rises: −0.833 for the almanac's day,
            0 for the geometric one.

    Returns:
        Hours from 0 (the sun stays down) to 24 (it does not set).

    Raises:
        ValueError: no such latitude.

    Source:
        noaa-solar
    """
    sun = _sun(_century(_midnight_s(on) + DAY_S / 2))
    return 2 * _hour_angle_deg(latitude_deg, sun, altitude_deg) / 15


def sunrise(*, latitude_deg: float, longitude_deg: float, on: date) -> int | None:
    """Return the epoch second of the sunrise nearest to a place's noon of a day.

    Args:
        latitude_deg: north positive, −90 to 90.
        longitude_deg: east positive, −180 to 180.
        on: the calendar day, whose noon by the sun is meant.

    Returns:
        Epoch seconds; None where the sun neither rises nor sets on that day.

    Raises:
        ValueError: no such place.

    Source:
        noaa-solar
    """
    return _crossing(latitude_deg, longitude_deg, on, side=-1)


def sunset(*, latitude_deg: float, longitude_deg: float, on: date) -> int | None:
    """Return the epoch second of the sunset after a place's noon of a day.

    Args:
        latitude_deg: north positive, −90 to 90.
        longitude_deg: east positive, −180 to 180.
        on: the calendar day, whose noon by the sun is meant.

    Returns:
        Epoch seconds; None where the sun neither rises nor sets on that day.

    Raises:
        ValueError: no such place.

    Source:
        noaa-solar
    """
    return _crossing(latitude_deg, longitude_deg, on, side=1)


def sun_times(
    *, latitude_deg: float, longitude_deg: float, on: date, zone: ZoneInfo
) -> SunTimes:
    """Return when the sun turns night into day and back on a local day.

    Args:
        latitude_deg: north positive, −90 to 90.
        longitude_deg: east positive, −180 to 180.
        on: the local calendar day.
        zone: the place's time zone, for the ends of a day without a sunset.

    Returns:
        Epoch seconds. The whole local day where the sun does not set; two equal
        instants, at its start, where it does not rise.

    Raises:
        ValueError: no such place.

    Source:
        noaa-solar
    """
    start_s = _local_midnight_s(on, zone)
    end_s = _local_midnight_s(on + timedelta(days=1), zone)
    named = _named_by_longitude(longitude_deg, on, start_s, end_s)
    rises = sunrise(latitude_deg=latitude_deg, longitude_deg=longitude_deg, on=named)
    sets = sunset(latitude_deg=latitude_deg, longitude_deg=longitude_deg, on=named)
    if rises is not None and sets is not None:
        return SunTimes(rises, sets)
    light_all_day = day_length_h(latitude_deg=latitude_deg, on=named) > _HALF_DAY_H
    return SunTimes(start_s, end_s if light_all_day else start_s)


def _named_by_longitude(
    longitude_deg: float, on: date, start_s: int, end_s: int
) -> date:
    """Return the day whose noon by the sun lies in a local day.

    It is another than `on` only where the clocks keep the date of the other side
    of the 180th meridian, as on the Line Islands.
    """
    noon_s = _mean_noon_s(longitude_deg, on)
    if noon_s < start_s:
        return on + timedelta(days=1)
    return on - timedelta(days=1) if noon_s >= end_s else on


def _crossing(
    latitude_deg: float, longitude_deg: float, on: date, *, side: int
) -> int | None:
    if not -180 <= longitude_deg <= 180:
        raise ValueError(
            f"Longitude {longitude_deg}° does not exist; give −180 to 180, east positive."
        )
    noon_s = _mean_noon_s(longitude_deg, on)
    minutes = 0.0
    # The sun moves on between noon and the crossing; the second round takes its
    # place at the crossing found by the first, and the third settles the seconds.
    for _ in range(3):
        sun = _sun(_century(noon_s + 60 * minutes))
        angle = _hour_angle_deg(latitude_deg, sun, SUNRISE_ALTITUDE_DEG)
        if not 0 < angle < 180:
            return None
        minutes = side * _MINUTES_PER_DEGREE * angle - sun.equation_of_time_min
    return round(noon_s + 60 * minutes)


def _hour_angle_deg(latitude_deg: float, sun: _Sun, altitude_deg: float) -> float:
    """Return half the arc of the day: 0 where it stays dark, 180 where it stays light."""
    if not -90 <= latitude_deg <= 90:
        raise ValueError(
            f"Latitude {latitude_deg}° does not exist; give −90 to 90, north positive."
        )
    latitude = math.radians(latitude_deg)
    above = math.sin(math.radians(altitude_deg)) - math.sin(latitude) * math.sin(
        sun.declination_rad
    )
    across = math.cos(latitude) * math.cos(sun.declination_rad)
    return math.degrees(math.acos(max(-1.0, min(1.0, above / across))))


def _sun(century: float) -> _Sun:
    """Return the sun's declination and the equation of time.

    Args:
        century: Julian centuries since noon of 1 January 2000.
    """
    t = century
    mean_longitude = math.radians(280.46646 + t * (36000.76983 + t * 0.0003032))
    anomaly = math.radians(357.52911 + t * (35999.05029 - 0.0001537 * t))
    eccentricity = 0.016708634 - t * (0.000042037 + 0.0000001267 * t)
    centre_deg = (
        math.sin(anomaly) * (1.914602 - t * (0.004817 + 0.000014 * t))
        + math.sin(2 * anomaly) * (0.019993 - 0.000101 * t)
        + math.sin(3 * anomaly) * 0.000289
    )
    node = math.radians(125.04 - 1934.136 * t)
    apparent = mean_longitude + math.radians(
        centre_deg - 0.00569 - 0.00478 * math.sin(node)
    )
    obliquity_deg = (
        23 + (26 + (21.448 - t * (46.815 + t * (0.00059 - t * 0.001813))) / 60) / 60
    )
    obliquity = math.radians(obliquity_deg + 0.00256 * math.cos(node))
    half = math.tan(obliquity / 2) ** 2
    equation = (
        half * math.sin(2 * mean_longitude)
        - 2 * eccentricity * math.sin(anomaly)
        + 4 * eccentricity * half * math.sin(anomaly) * math.cos(2 * mean_longitude)
        - 0.5 * half * half * math.sin(4 * mean_longitude)
        - 1.25 * eccentricity * eccentricity * math.sin(2 * anomaly)
    )
    return _Sun(
        declination_rad=math.asin(math.sin(obliquity) * math.sin(apparent)),
        equation_of_time_min=_MINUTES_PER_DEGREE * math.degrees(equation),
    )


def _mean_noon_s(longitude_deg: float, on: date) -> float:
    minutes = _NOON_MIN - _MINUTES_PER_DEGREE * longitude_deg
    return _midnight_s(on) + 60 * minutes


def _century(epoch_s: float) -> float:
    return (epoch_s / DAY_S + _UNIX_EPOCH_JD - _J2000) / _DAYS_PER_CENTURY


def _midnight_s(on: date) -> int:
    return int(datetime(on.year, on.month, on.day, tzinfo=UTC).timestamp())


def _local_midnight_s(on: date, zone: ZoneInfo) -> int:
    return int(datetime(on.year, on.month, on.day, tzinfo=zone).timestamp())
