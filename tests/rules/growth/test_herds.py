"""Weighings of many animals as arrays: the same as one animal's own series."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from husbandry.rules.growth.herds import local_days, weighed_herd
from husbandry.rules.weights import WeighingPoint, series_in_force
from tests.rules.growth.herds import ON, weighing

ZONES = ("Europe/Lisbon", "America/Havana", "Pacific/Apia", "Asia/Kathmandu")
START = datetime(2026, 3, 1, tzinfo=UTC)

POINTS = st.lists(
    st.builds(
        lambda key, minutes, mass_g, corrects: WeighingPoint(
            key, START + timedelta(minutes=minutes), Decimal(mass_g) / 100, corrects
        ),
        st.integers(1, 8),
        st.integers(0, 50 * 24 * 60),
        st.integers(1, 10_000),
        st.one_of(st.none(), st.none(), st.integers(1, 8)),
    ),
    max_size=8,
    unique_by=lambda p: p.id,
)


@given(st.lists(POINTS, max_size=5), st.integers(-3, 55), st.sampled_from(ZONES))
def test_each_animal_is_as_its_own_series(
    animals: list[list[WeighingPoint]], days: int, zone_name: str
) -> None:
    zone, on = ZoneInfo(zone_name), START.date() + timedelta(days=days)

    herd = weighed_herd(animals, on=on, zone=zone)

    assert len(herd) == len(animals)
    for place, points in enumerate(animals):
        alone = series_in_force(points, on=on, zone=zone)
        own = slice(herd.starts[place], herd.starts[place + 1])
        assert [p.at for p in herd.points[own]] == list(alone.at)
        assert [p.mass_g for p in herd.points[own]] == list(alone.mass_g)
        assert herd.mass_g[own] == pytest.approx([float(m) for m in alone.mass_g])
        assert herd.day[own].tolist() == [
            alone.on(i).toordinal() for i in range(len(alone))
        ]


def test_local_days_on_both_sides_of_midnight() -> None:
    # Lisbon is an hour ahead of UTC in summer, which began on 29 March 2026.
    at = [
        datetime(2026, 3, 28, 23, 59, 59, tzinfo=UTC),
        datetime(2026, 3, 30, 22, 59, 59, tzinfo=UTC),
        datetime(2026, 3, 30, 23, tzinfo=UTC),
        datetime(1969, 12, 31, 22, tzinfo=UTC),  # an hour ahead then all year
    ]

    days = local_days(
        np.array([one.timestamp() for one in at]), zone=ZoneInfo("Europe/Lisbon")
    )

    assert [date.fromordinal(day).isoformat() for day in days.tolist()] == [
        "2026-03-28",
        "2026-03-30",
        "2026-03-31",
        "1969-12-31",
    ]
    assert local_days(np.empty(0), zone=ZoneInfo("UTC")).tolist() == []


def test_some_animals_of_a_herd_in_another_order() -> None:
    animals = [[weighing(3, 1), weighing(1, 2)], [], [weighing(2, 3)]]
    herd = weighed_herd(animals, on=ON, zone=ZoneInfo("UTC"))

    some = herd.only(np.array([2, 1, 0]))

    assert some.starts.tolist() == [0, 1, 1, 3]
    assert some.mass_g.tolist() == [3, 1, 2]
    assert [str(p.mass_g) for p in some.points] == ["3", "1", "2"]
    assert some.counts.tolist() == [1, 0, 2]
    assert len(herd.only(np.array([], np.int64))) == 0
