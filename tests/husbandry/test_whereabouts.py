"""Where animals were at many instants: as one by one, in one query."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from husbandry.queries.stays import local_day_of
from husbandry.queries.whereabouts import whereabouts
from tests.factories import NOW, AnimalFactory, StayFactory

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def test_the_local_day_is_that_of_the_last_stay(django_assert_num_queries: Any) -> None:
    animal, nowhere = AnimalFactory.create(), AnimalFactory.create()
    moved_at = NOW - 3 * DAY
    StayFactory.create(
        animal=animal,
        enclosure__room__site__time_zone="America/Los_Angeles",
        from_at=NOW - 9 * DAY,
        until_at=moved_at,
    )
    StayFactory.create(
        animal=animal,
        enclosure__room__site__time_zone="Pacific/Auckland",
        from_at=moved_at,
    )

    with django_assert_num_queries(1):
        found = whereabouts(animal_ids=[animal.pk, nowhere.pk])

    night = datetime(2026, 2, 26, 3, tzinfo=UTC)
    assert found.local_day(animal.pk, at=night) == date(2026, 2, 25)
    assert found.local_day(animal.pk, at=NOW) == date(2026, 3, 3)
    for who in (animal, nowhere):
        for hours in range(-300, 10, 7):
            at = NOW + timedelta(hours=hours)
            assert found.local_day(who.pk, at=at) == local_day_of(animal=who, at=at)
    assert found.local_day(animal.pk, at=moved_at) == local_day_of(
        animal=animal, at=moved_at
    )


def test_nobody_was_nowhere() -> None:
    found = whereabouts(animal_ids=())

    assert found.local_day(1, at=NOW) == NOW.date()
