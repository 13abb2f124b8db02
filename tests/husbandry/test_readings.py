"""Storing readings: once, never erased, on both databases."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from core.models import AuditEntry
from core.zones import day_bounds
from husbandry.actions.readings import store_readings
from husbandry.models import Reading, ReadingImport
from husbandry.rules.loggers.vocabulary import MISSING
from husbandry.rules.reading_reports import MOST_LISTED
from husbandry.rules.readings import ReadingColumns, ReadingRefused
from tests.factories import (
    EnclosureFactory,
    ProbeFactory,
    SiteFactory,
    UserFactory,
)
from tests.husbandry.batches import NOW, NOW_S, batch, counts, store, stored


@pytest.mark.django_db
def test_store_readings_stores_what_is_new() -> None:
    probe = ProbeFactory()

    report = store(batch(probe, (0, 25_000, 50_000), (300, 24_900, MISSING)))

    assert counts(report) == {"received": 2, "stored": 2}
    assert stored() == [(0, 25_000, 50_000), (300, 24_900, None)]


@pytest.mark.django_db
def test_store_readings_of_nothing() -> None:
    assert counts(store(batch(ProbeFactory()))) == {}
    assert not ReadingImport.objects.exists()


@pytest.mark.django_db
def test_a_batch_sent_again_is_known_and_leaves_nothing() -> None:
    probe = ProbeFactory()
    columns = batch(probe, (0, 25_000, 50_000), (300, 24_900, MISSING))
    store(columns)

    again = store(columns)

    assert counts(again) == {"received": 2, "known": 2}
    assert Reading.objects.count() == 2
    assert ReadingImport.objects.count() == 1


@pytest.mark.django_db
def test_a_missing_value_never_erases_a_known_one() -> None:
    probe = ProbeFactory()
    store(batch(probe, (0, 25_000, MISSING)))

    completed = store(batch(probe, (0, MISSING, 50_000)))
    known = store(batch(probe, (0, 25_000, MISSING)))

    assert counts(completed) == {"received": 1, "completed": 1}
    assert counts(known) == {"received": 1, "known": 1}
    assert stored() == [(0, 25_000, 50_000)]


@pytest.mark.django_db
def test_a_different_value_is_a_conflict_and_the_first_stays() -> None:
    probe = ProbeFactory()
    store(batch(probe, (0, 25_000, MISSING)))

    report = store(batch(probe, (0, 26_000, 50_000), (60, 26_000, 50_000)))

    assert counts(report) == {"received": 2, "stored": 1, "conflicting": 1}
    (refusal,) = report.refusals
    assert (refusal.index, refusal.code) == (0, ReadingRefused.CONFLICTING)
    assert refusal.reason == (
        "2026-03-02T12:00:00Z: temperature 26 °C, but temperature 25 °C was stored "
        "earlier and stays"
    )
    assert stored() == [(0, 25_000, None), (60, 26_000, 50_000)]


@pytest.mark.django_db
def test_good_readings_beside_bad_ones_are_kept() -> None:
    probe = ProbeFactory()
    columns = batch(
        probe,
        (0, 25_000, 50_000),
        (60, 500_000, 50_000),
        (120, 24_000, 50_000),
        (120, 23_000, 50_000),
        (180, MISSING, MISSING),
        (0, 25_000, 50_000),
        (-301, 25_000, 50_000),
    )

    report = store(columns)

    assert counts(report) == {"received": 7, "stored": 1, "repeated": 1, "refused": 5}
    assert [(r.index, r.code) for r in report.refusals] == [
        (1, ReadingRefused.OUT_OF_RANGE),
        (2, ReadingRefused.REPEATED_DIFFERENTLY),
        (3, ReadingRefused.REPEATED_DIFFERENTLY),
        (4, ReadingRefused.NOTHING_MEASURED),
        (6, ReadingRefused.IN_FUTURE),
    ]
    assert stored() == [(0, 25_000, 50_000)]


@pytest.mark.django_db
def test_refusals_are_counted_whole_and_listed_in_part() -> None:
    probe = ProbeFactory()
    rows = [(n, 500_000, 50_000) for n in range(MOST_LISTED + 100)]

    report = store(batch(probe, *rows))

    assert report.refused == MOST_LISTED + 100
    assert len(report.refusals) == MOST_LISTED


@pytest.mark.django_db
def test_saturated_air_is_a_hundred_per_cent_however_often_it_is_sent() -> None:
    probe = ProbeFactory()

    first = store(batch(probe, (0, 25_000, 103_000)))
    second = store(batch(probe, (0, 25_000, 100_000)))

    assert stored() == [(0, 25_000, 100_000)]
    assert (first.stored, second.known) == (1, 1)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("on", "accepted"),
    [
        # Lisbon's clock goes forward on 29 March 2026 at 01:00: a day of 23 hours.
        (date(2026, 3, 28), False),
        (date(2026, 3, 29), True),
        (date(2026, 3, 30), True),
        (date(2026, 3, 31), False),
    ],
)
def test_a_probe_is_in_use_by_its_sites_local_days(on: date, accepted: bool) -> None:
    site = SiteFactory(time_zone="Europe/Lisbon")
    probe = ProbeFactory(
        enclosure=EnclosureFactory(room__site=site),
        from_on=date(2026, 3, 29),
        retired_on=date(2026, 3, 30),
    )
    first, end = day_bounds(on, zone=ZoneInfo(site.time_zone))
    columns = ReadingColumns.of(
        probe_ids=[probe.pk] * 2, at=[first, end - 1], temperature=[20_000] * 2
    )

    report = store(columns, at=datetime(2026, 4, 2, tzinfo=UTC))

    assert report.stored == (2 if accepted else 0)


@pytest.mark.django_db
def test_a_batch_leaves_one_record_with_its_counts() -> None:
    keeper = UserFactory()
    columns = batch(ProbeFactory(), (0, 25_000, 50_000), (60, 500_000, 50_000))

    store_readings(columns=columns, by=keeper, at=NOW)

    record = ReadingImport.objects.get()
    assert (record.file_name, record.imported_by, record.imported_at) == (
        "posted batch",
        keeper,
        NOW,
    )
    assert (record.rows_read, record.rows_stored, record.rows_refused) == (2, 1, 1)
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by, entry.subject_id) == (
        "store_readings",
        keeper,
        str(record.pk),
    )
    assert entry.after == record.report
    assert entry.after["stored"] == 1


@pytest.mark.django_db
def test_queries_do_not_grow_with_the_batch() -> None:
    probes = ProbeFactory.create_batch(3)

    def queries_for(columns: ReadingColumns) -> int:
        with CaptureQueriesContext(connection) as captured:
            store(columns)
        return len(captured)

    one = queries_for(batch(probes[0], (0, 25_000, 50_000)))
    many = queries_for(
        ReadingColumns.of(
            probe_ids=np.repeat([p.pk for p in probes], 100),
            at=np.tile(NOW_S - 600 - 60 * np.arange(100), 3),
            temperature=np.full(300, 25_000),
        )
    )

    assert one == many


@pytest.mark.django_db
def test_more_probes_than_parameters_are_looked_up_all_the_same() -> None:
    probe = ProbeFactory()
    ids = np.arange(probe.pk, probe.pk + 2_000)
    columns = ReadingColumns.of(
        probe_ids=ids, at=np.full(2_000, NOW_S), temperature=np.full(2_000, 20_000)
    )

    report = store(columns)

    assert counts(report) == {"received": 2_000, "stored": 1, "refused": 1_999}


@pytest.mark.django_db
def test_few_readings_among_many_stored_ones_are_found_by_their_keys() -> None:
    probe = ProbeFactory()
    long_ago = NOW_S - 60 * 5_000
    times = np.arange(long_ago, NOW_S, 60)
    store(
        ReadingColumns.of(
            probe_ids=np.full(5_000, probe.pk),
            at=times,
            temperature=np.full(5_000, 20_000),
        )
    )

    report = store(
        ReadingColumns.of(
            probe_ids=[probe.pk] * 3,
            at=[long_ago, long_ago + 1, NOW_S - 60],
            temperature=[20_000, 20_000, 21_000],
        )
    )

    assert counts(report) == {
        "received": 3,
        "known": 1,
        "stored": 1,
        "conflicting": 1,
    }
