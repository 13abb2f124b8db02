"""Which reviews are marked stale, and which are left alone."""

from datetime import timedelta

import pytest

from husbandry.actions.staleness import mark_nights_stale, mark_stale
from husbandry.models import ReviewRun
from tests.factories import NOW, TODAY, ReviewRunFactory, SiteFactory

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
