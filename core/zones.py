"""Time zones by their IANA names, and the instants at which local days turn."""

from datetime import date, datetime, time, timedelta
from functools import cache
from zoneinfo import ZoneInfo, available_timezones

from django.core.exceptions import ValidationError


@cache
def _names() -> frozenset[str]:
    return frozenset(available_timezones())


def check_zone(name: str) -> None:
    """Refuse a name that the IANA database does not have.

    Raises:
        ValidationError: with an example of what would be accepted.
    """
    if name not in _names():
        raise ValidationError(
            f"{name!r} is no time zone. Give an IANA name such as Europe/Lisbon."
        )


def instant(on: date, at: time, *, zone: ZoneInfo) -> int:
    """Return the epoch second at which a local clock shows `at` on `on`.

    A local time that occurs twice counts the first time; one that does not
    occur counts by the clock as it was before it jumped (PEP 495, fold=0).
    """
    return int(datetime.combine(on, at, tzinfo=zone).timestamp())


def day_bounds(on: date, *, zone: ZoneInfo) -> tuple[int, int]:
    """Return the first epoch second of a local day and that of the next day.

    The day lasts 23, 24 or 25 hours, as the zone says.
    """
    start = instant(on, time.min, zone=zone)
    return start, instant(on + timedelta(days=1), time.min, zone=zone)


def last_finished_day(at: datetime, *, zone: ZoneInfo) -> date:
    """Return the last local day that is over at an instant."""
    return at.astimezone(zone).date() - timedelta(days=1)
