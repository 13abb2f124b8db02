"""Which reviews are marked stale, and which are left alone."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection

from husbandry.actions.staleness import (
    mark_animal_stale,
    mark_animals_stale,
    mark_nights_stale,
    mark_sites_stale,
    mark_stale,
)
from husbandry.models import ReviewRun
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    ReviewRunFactory,
    SiteFactory,
    StayFactory,
)

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def marked() -> set[tuple[int, int]]:
    runs = ReviewRun.objects.filter(stale_since=NOW).values_list("site", "on")
    return {(site, (TODAY - on).days) for site, on in runs}


def test_only_the_nights_named_at_the_sites_named() -> None:
    one, two, three = SiteFactory(), SiteFactory(), SiteFactory()
    for site in (one, two, three):
        for days in range(5):
            ReviewRunFactory(site=site, on=TODAY - days * DAY)
    nights = {
        (one.pk, TODAY),
        (one.pk, TODAY - 4 * DAY),
        (two.pk, TODAY - 2 * DAY),
        (two.pk, TODAY - 9 * DAY),  # never reviewed
    }

    count = mark_nights_stale(nights=nights, at=NOW)

    assert count == 3
    assert marked() == {(one.pk, 0), (one.pk, 4), (two.pk, 2)}


def test_no_nights_mark_nothing() -> None:
    ReviewRunFactory()

    assert mark_nights_stale(nights=(), at=NOW) == 0
    assert mark_stale(site_ids=(), from_on=TODAY - 9 * DAY, at=NOW) == 0
    assert marked() == set()


@pytest.mark.parametrize(
    ("state", "is_marked"),
    [("done", True), ("partial", True), ("running", True), ("failed", False)],
)
def test_a_run_that_judged_or_is_judging(state: str, is_marked: bool) -> None:
    run = ReviewRunFactory(state=state)

    count = mark_nights_stale(nights=[(run.site.pk, run.on)], at=NOW)

    assert count == (1 if is_marked else 0)


def test_from_a_day_on() -> None:
    site = SiteFactory()
    for days in range(4):
        ReviewRunFactory(site=site, on=TODAY - days * DAY)

    assert mark_stale(site_ids=[site.pk], from_on=TODAY - DAY, at=NOW) == 2
    assert marked() == {(site.pk, 0), (site.pk, 1)}
    # What is marked keeps its first mark and is not counted again.
    assert mark_stale(site_ids=[site.pk], from_on=TODAY - 2 * DAY, at=NOW + DAY) == 1


def test_each_site_from_a_day_of_its_own_on() -> None:
    one, two, three = SiteFactory(), SiteFactory(), SiteFactory()
    for site in (one, two, three):
        for days in range(4):
            ReviewRunFactory(site=site, on=TODAY - days * DAY)

    count = mark_sites_stale(from_on={one.pk: TODAY - 2 * DAY, two.pk: TODAY}, at=NOW)

    assert count == 4
    assert marked() == {(one.pk, 0), (one.pk, 1), (one.pk, 2), (two.pk, 0)}
    assert mark_sites_stale(from_on={}, at=NOW) == 0


def test_many_animals_mark_what_each_would_in_three_queries(
    django_assert_num_queries: Any,
) -> None:
    north, south, east = SiteFactory(), SiteFactory(), SiteFactory()
    moved, placed, nowhere, late = AnimalFactory.create_batch(4)
    StayFactory(
        animal=moved,
        enclosure__room__site=north,
        from_at=NOW - 40 * DAY,
        until_at=NOW - 20 * DAY,
    )
    StayFactory(animal=moved, enclosure__room__site=south, from_at=NOW - 20 * DAY)
    StayFactory(animal=placed, enclosure__room__site=north, from_at=NOW - 50 * DAY)
    StayFactory(animal=late, enclosure__room__site=south, from_at=NOW - 8 * DAY)
    for site in (north, south, east):
        for days in range(60):
            ReviewRunFactory(site=site, on=TODAY - days * DAY)
    since_at = {
        moved.pk: NOW - 25 * DAY,
        placed.pk: NOW - 3 * DAY,
        late.pk: NOW - 12 * DAY,
    }

    one_by_one = set()
    for animal in (moved, placed, late):
        mark_animal_stale(animal=animal, since_at=since_at[animal.pk], at=NOW)
        one_by_one |= marked()
        ReviewRun.objects.update(stale_since=None)
    # Where it stayed; for times before any stay, wherever it may have been judged.
    assert (north.pk, 25) in one_by_one
    assert (north.pk, 15) not in one_by_one
    assert (east.pk, 12) in one_by_one
    assert (east.pk, 7) not in one_by_one
    with django_assert_num_queries(3 + _lock_queries()):
        mark_animals_stale(since_at=since_at, at=NOW)

    assert marked() == one_by_one
    assert mark_animals_stale(since_at={nowhere.pk: NOW - 59 * DAY}, at=NOW) == (
        180 - len(one_by_one)
    )


def _lock_queries() -> int:
    """Return how many queries hold off a review; SQLite has one writer anyway."""
    return 1 if connection.vendor == "postgresql" else 0
