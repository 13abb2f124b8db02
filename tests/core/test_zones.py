"""Local days against the IANA database, whose switches are public."""

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import ValidationError

from core.zones import check_zone, day_bounds, instant

# IANA time zone database: the EU turns its clocks at 01:00 UTC on the last Sunday
# of March and October; the US at 02:00 local time on the second Sunday of March and
# the first of November; Lord Howe Island turns by half an hour.
DAYS = [
    ("Europe/Lisbon", date(2026, 3, 2), 24, "2026-03-02T00:00"),
    ("Europe/Lisbon", date(2026, 3, 29), 23, "2026-03-29T00:00"),
    ("Europe/Lisbon", date(2026, 10, 25), 25, "2026-10-24T23:00"),
    ("America/New_York", date(2026, 3, 8), 23, "2026-03-08T05:00"),
    ("America/New_York", date(2026, 11, 1), 25, "2026-11-01T04:00"),
    ("Australia/Lord_Howe", date(2026, 4, 5), 24.5, "2026-04-04T13:00"),
    ("Asia/Kathmandu", date(2026, 3, 2), 24, "2026-03-01T18:15"),
    ("UTC", date(2026, 3, 2), 24, "2026-03-02T00:00"),
]


@pytest.mark.parametrize(("name", "on", "hours", "start_utc"), DAYS)
def test_a_local_day_has_its_own_length(
    name: str, on: date, hours: float, start_utc: str
) -> None:
    start_s, end_s = day_bounds(on, zone=ZoneInfo(name))

    assert (end_s - start_s) / 3600 == hours
    assert datetime.fromtimestamp(start_s, UTC).strftime("%Y-%m-%dT%H:%M") == start_utc


def test_one_day_ends_where_the_next_begins() -> None:
    zone = ZoneInfo("Europe/Lisbon")

    for on in (date(2026, 3, 28), date(2026, 3, 29), date(2026, 10, 24)):
        following = date.fromordinal(on.toordinal() + 1)
        assert day_bounds(on, zone=zone)[1] == day_bounds(following, zone=zone)[0]


def test_a_time_that_occurs_twice_counts_the_first_time() -> None:
    # Lisbon, 25 Oct 2026: 01:30 summer time is 00:30 UTC, then again 01:30 UTC.
    found = instant(date(2026, 10, 25), time(1, 30), zone=ZoneInfo("Europe/Lisbon"))

    assert datetime.fromtimestamp(found, UTC) == datetime(
        2026, 10, 25, 0, 30, tzinfo=UTC
    )


def test_a_time_that_does_not_occur_counts_by_the_old_clock() -> None:
    # Lisbon, 29 Mar 2026: 01:30 is skipped; by the clock before, it is 01:30 UTC.
    found = instant(date(2026, 3, 29), time(1, 30), zone=ZoneInfo("Europe/Lisbon"))

    assert datetime.fromtimestamp(found, UTC) == datetime(
        2026, 3, 29, 1, 30, tzinfo=UTC
    )


def test_a_name_of_the_database_is_accepted() -> None:
    check_zone("Europe/Lisbon")


@pytest.mark.parametrize("name", ["", "Lisbon", "GMT+25", "../etc/passwd"])
def test_another_name_is_refused_with_an_example(name: str) -> None:
    with pytest.raises(ValidationError, match="Europe/Lisbon"):
        check_zone(name)
