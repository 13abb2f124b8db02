"""Readings that come after their night was reviewed: it is marked, and no other."""

from datetime import UTC, date, datetime

import pytest

from husbandry.rules.loggers.vocabulary import MISSING
from husbandry.rules.readings import ReadingColumns
from tests.factories import (
    EnclosureFactory,
    ProbeFactory,
    ReviewRunFactory,
    SiteFactory,
)
from tests.husbandry.batches import NOW, batch, night_of, store


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("local", "stale"),
    [
        # A reading holds three intervals of 300 s; the site is 1 h ahead of UTC.
        (datetime(2026, 2, 26, 22, 44, 59, tzinfo=UTC), {26}),
        (datetime(2026, 2, 26, 22, 45, 0, tzinfo=UTC), {26}),
        (datetime(2026, 2, 26, 22, 45, 1, tzinfo=UTC), {26, 27}),
        (datetime(2026, 2, 26, 23, 0, 0, tzinfo=UTC), {27}),
    ],
)
def test_a_late_reading_marks_the_nights_it_matters_to(
    local: datetime, stale: set[int]
) -> None:
    site = SiteFactory(time_zone="Africa/Lagos")
    probe = ProbeFactory(enclosure=EnclosureFactory(room__site=site))
    for day in (25, 26, 27, 28):
        night_of(probe, date(2026, 2, day))
    ReviewRunFactory(on=date(2026, 2, 26))
    columns = ReadingColumns.of(
        probe_ids=[probe.pk], at=[int(local.timestamp())], temperature=[20_000]
    )

    store(columns)

    marked = type(night_of(probe, date(2026, 1, 1))).objects.filter(stale_since=NOW)
    assert {run.on.day for run in marked} == stale
    assert {run.site for run in marked} == {site}


@pytest.mark.django_db
def test_known_and_refused_readings_mark_no_night() -> None:
    probe = ProbeFactory()
    columns = batch(probe, (86_400, 25_000, 50_000))
    store(columns)
    run = night_of(probe, date(2026, 3, 1))

    store(columns)
    store(batch(probe, (86_400, 26_000, 50_000), (86_401, 500_000, 50_000)))

    run.refresh_from_db()
    assert run.stale_since is None


@pytest.mark.django_db
def test_a_completed_reading_marks_its_night() -> None:
    probe = ProbeFactory()
    store(batch(probe, (86_400, 25_000, MISSING)))
    run = night_of(probe, date(2026, 3, 1))

    store(batch(probe, (86_400, MISSING, 50_000)))

    run.refresh_from_db()
    assert run.stale_since == NOW
