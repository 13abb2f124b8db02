"""Storing readings: once, never erased, never half, on both databases."""

import threading
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from django.db import DatabaseError, connection, connections
from django.test.utils import CaptureQueriesContext

from core.models import AuditEntry
from core.zones import day_bounds
from husbandry.actions import readings as actions
from husbandry.actions.reading_storage import complete_readings, insert_readings
from husbandry.actions.readings import ReadingsBusyError, store_readings
from husbandry.models import Probe, Reading, ReadingImport
from husbandry.queries import stored_readings
from husbandry.rules.loggers.vocabulary import MISSING
from husbandry.rules.reading_reports import MOST_LISTED, StoreReport
from husbandry.rules.readings import ReadingColumns, ReadingRefused
from tests.factories import (
    EnclosureFactory,
    ProbeFactory,
    ReviewRunFactory,
    SiteFactory,
    UserFactory,
)

NOW = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
NOW_S = int(NOW.timestamp())


def batch(probe: Probe, *rows: tuple[int, int, int]) -> ReadingColumns:
    """Make readings of (seconds before now, temperature, humidity)."""
    table = np.array(rows, dtype=np.int64).reshape(-1, 3)
    return ReadingColumns.of(
        probe_ids=np.full(len(rows), probe.pk),
        at=NOW_S - table[:, 0],
        temperature=table[:, 1],
        humidity=table[:, 2],
    )


def store(columns: ReadingColumns, *, at: datetime = NOW) -> StoreReport:
    return store_readings(columns=columns, by=None, at=at)


def stored() -> list[tuple[int, int | None, int | None]]:
    """Return (seconds before now, temperature, humidity), newest first."""
    rows = Reading.objects.order_by("probe_id", "-at").values_list(
        "at", "temperature_milli_c", "humidity_milli_pct"
    )
    return [(NOW_S - at, temperature, humidity) for at, temperature, humidity in rows]


def counts(report: StoreReport) -> dict[str, int]:
    return {name: n for name, n in actions.counts(report).items() if n}


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


# Nights that were reviewed before the readings came


def night_of(probe: Probe, on: date, **how: Any) -> Any:
    return ReviewRunFactory(site=probe.enclosure.room.site, on=on, **how)


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


# At once, and broken off


@pytest.fixture
def shared_database(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Any:
    """Return a function that readies the database for other threads.

    A test's SQLite lives in memory, where writers fail instead of waiting for each
    other. Threads that start afterwards use a copy of it in a file, as a server does.
    """

    def share() -> None:
        if connection.vendor == "sqlite":
            path = str(tmp_path / "shared.sqlite3")
            with connection.cursor() as cursor:
                cursor.execute("VACUUM INTO %s", [path])
            monkeypatch.setitem(connections.settings["default"], "NAME", path)

    return share


def together(*work: Any) -> list[BaseException]:
    """Run functions at once, each on its own connection; return what they raised."""
    raised: list[BaseException] = []
    start = threading.Barrier(len(work))

    def run(one: Any) -> None:
        try:
            start.wait(timeout=10)
            one()
        except BaseException as error:  # noqa: BLE001 - reported by the test
            raised.append(error)
        finally:
            connections.close_all()

    threads = [threading.Thread(target=run, args=(one,)) for one in work]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    return raised


@pytest.mark.django_db(transaction=True)
def test_the_same_batch_twice_at_once_is_stored_once(shared_database: Any) -> None:
    probes = ProbeFactory.create_batch(4)
    columns = ReadingColumns.of(
        probe_ids=np.repeat([p.pk for p in probes], 500),
        at=np.tile(NOW_S - 60 * np.arange(500), 4),
        temperature=np.full(2_000, 25_000),
    )
    reports: list[StoreReport] = []
    there: list[int] = []
    shared_database()

    raised = together(*[lambda: reports.append(store(columns))] * 4)
    together(
        lambda: there.extend((Reading.objects.count(), ReadingImport.objects.count()))
    )

    assert raised == []
    assert sorted(counts(r).get("stored", 0) for r in reports) == [0, 0, 0, 2_000]
    assert sorted(r.known for r in reports) == [0, 2_000, 2_000, 2_000]
    assert there == [2_000, 1]


@pytest.mark.django_db(transaction=True)
def test_overlapping_batches_in_opposite_order_do_not_deadlock(
    shared_database: Any,
) -> None:
    probe = ProbeFactory()
    rows = [(60 * n, 25_000, MISSING) for n in range(1_000)]
    first, second = batch(probe, *rows[:700]), batch(probe, *reversed(rows[300:]))
    humid = batch(probe, *[(60 * n, MISSING, 50_000) for n in range(1_000)])

    there: list[Any] = []
    shared_database()

    work = [lambda c=c: store(c) for c in (first, second, humid, humid)]
    raised = together(*work)
    together(lambda: there.extend(stored()))

    assert raised == []
    assert there == [(60 * n, 25_000, 50_000) for n in range(1_000)]


@pytest.mark.django_db
def test_a_batch_that_is_always_overtaken_gives_up_and_stores_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    probe = ProbeFactory()
    columns = batch(probe, (0, 25_000, 50_000), (60, 25_000, 50_000))
    store(columns.take(slice(1)))
    # As if the stored row had come after each look.
    monkeypatch.setattr(actions, "stored_beside", lambda readings: readings.take([]))

    with pytest.raises(ReadingsBusyError, match="Nothing was stored; send them again"):
        store(columns)

    assert stored() == [(0, 25_000, 50_000)]


@pytest.mark.django_db
def test_a_batch_that_was_overtaken_looks_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    probe = ProbeFactory()
    columns = batch(probe, (0, 25_000, 50_000), (60, 25_000, 50_000))
    store(columns.take(slice(1)))
    looks = iter([lambda readings: readings.take([]), stored_readings.stored_beside])

    def look(readings: ReadingColumns) -> ReadingColumns:
        return next(looks)(readings)

    monkeypatch.setattr(actions, "stored_beside", look)

    report = store(columns)

    assert counts(report) == {"received": 2, "stored": 1, "known": 1}


@pytest.mark.django_db
def test_completing_leaves_what_was_filled_meanwhile() -> None:
    if connection.vendor != "postgresql":
        pytest.skip("SQLite lets one transaction write at a time: no meanwhile.")
    probe = ProbeFactory()
    insert_readings(batch(probe, (0, 25_000, MISSING)))

    assert complete_readings(batch(probe, (0, 26_000, 50_000))) == 0
    assert complete_readings(batch(probe, (0, MISSING, 50_000))) == 1

    assert stored() == [(0, 25_000, 50_000)]


@pytest.mark.django_db
def test_a_quantity_that_was_filled_meanwhile_is_a_conflict(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    if connection.vendor != "postgresql":
        pytest.skip("SQLite lets one transaction write at a time: no meanwhile.")
    probe = ProbeFactory()
    insert_readings(batch(probe, (0, 25_000, 40_000)))
    seen_before = batch(probe, (0, 25_000, MISSING))
    looks = iter([lambda _: seen_before, stored_readings.stored_beside])

    def look(readings: ReadingColumns) -> ReadingColumns:
        return next(looks)(readings)

    monkeypatch.setattr(actions, "stored_beside", look)

    report = store(batch(probe, (0, MISSING, 50_000)))

    assert counts(report) == {"received": 1, "conflicting": 1}
    assert stored() == [(0, 25_000, 40_000)]


@pytest.mark.django_db
def test_nothing_is_half_written_when_it_breaks_off(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    probe = ProbeFactory()
    run = night_of(probe, date(2026, 3, 1))
    columns = batch(probe, (86_400, 25_000, 50_000))

    def break_off(*_: object, **__: object) -> None:
        raise DatabaseError("the disk is full")

    monkeypatch.setattr(actions.audit, "record", break_off)
    with pytest.raises(DatabaseError, match="the disk is full"):
        store(columns)

    run.refresh_from_db()
    assert (Reading.objects.count(), ReadingImport.objects.count()) == (0, 0)
    assert run.stale_since is None
