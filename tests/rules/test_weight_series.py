"""Weighings cut by local days: the same as giving each its day and comparing those."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.weight_series import WeightSeries, day_begins_at

# Midnight itself is jumped over in Havana, Beirut and Santiago, and Apia left out
# the whole of 30 December 2011 (IANA time zone database).
ZONES = (
    "Europe/Lisbon",
    "America/Havana",
    "Asia/Beirut",
    "America/Santiago",
    "Pacific/Apia",
    "Asia/Kathmandu",
)
BEGINS = (
    datetime(2011, 12, 27, tzinfo=UTC),
    datetime(2026, 3, 1, tzinfo=UTC),
    datetime(2026, 9, 1, tzinfo=UTC),
)
INSTANTS = st.builds(
    lambda begin, minutes: begin + timedelta(minutes=minutes),
    st.sampled_from(BEGINS),
    st.integers(0, 60 * 24 * 60),
)


def series(instants: list[datetime], zone: str) -> WeightSeries:
    at = tuple(sorted(instants))
    return WeightSeries(ZoneInfo(zone), at, tuple(Decimal(n) for n in range(len(at))))


@given(
    st.lists(INSTANTS, min_size=1, max_size=20),
    st.sampled_from(ZONES),
    st.integers(-3, 3),
    st.data(),
)
def test_a_cut_is_where_the_local_days_say(
    instants: list[datetime], zone: str, off_days: int, data: st.DataObject
) -> None:
    weighed = series(instants, zone)
    near = data.draw(st.sampled_from(instants)).astimezone(ZoneInfo(zone)).date()
    on = near + timedelta(days=off_days)

    place = weighed.first_from(on)

    days = [at.astimezone(ZoneInfo(zone)).date() for at in weighed.at]
    assert place == sum(day < on for day in days)


@pytest.mark.parametrize(
    ("zone", "on", "begins_at"),
    [
        ("UTC", date(2026, 3, 29), "2026-03-29T00:00Z"),
        ("Europe/Lisbon", date(2026, 3, 30), "2026-03-29T23:00Z"),
        # Clocks went from 0:00 to 1:00 on 8 March 2026 in Cuba, five hours behind.
        ("America/Havana", date(2026, 3, 8), "2026-03-08T05:00Z"),
    ],
)
def test_the_beginning_of_a_day(zone: str, on: date, begins_at: str) -> None:
    assert day_begins_at(on, ZoneInfo(zone)) == datetime.fromisoformat(begins_at)


def test_the_last_days_end_with_the_last_weighing() -> None:
    start = datetime(2026, 3, 1, 9, tzinfo=UTC)
    weighed = series([start + timedelta(days=n) for n in (0, 3, 7, 10)], "UTC")

    assert weighed.last_days(7).mass_g == (Decimal(1), Decimal(2), Decimal(3))
    assert weighed.last_days(6).mass_g == (Decimal(2), Decimal(3))
    assert weighed.last_days(100) is weighed
    assert len(series([], "UTC").last_days(7)) == 0


def test_two_weighings_as_evidence() -> None:
    # 23:30 UTC on the 30th is the 31st in Lisbon (summer time since the 29th).
    weighed = series(
        [
            datetime(2026, 3, 24, 9, tzinfo=UTC),
            datetime(2026, 3, 30, 23, 30, tzinfo=UTC),
        ],
        "Europe/Lisbon",
    )

    assert weighed.from_to(0, -1) == {
        "from_g": "0",
        "from_on": "2026-03-24",
        "to_g": "1",
        "to_on": "2026-03-31",
        "days": 7,
    }
    assert weighed.days_between(0, 1) == pytest.approx(6 + 14.5 / 24)
