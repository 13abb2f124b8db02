"""Readings that come at the same moment, or break off: never half, never twice."""

import contextlib
import sqlite3
import threading
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from django.db import DatabaseError, connection, connections

from husbandry.actions import readings as actions
from husbandry.actions.claimed_readings import UnclaimedError, claim_readings
from husbandry.actions.reading_storage import complete_readings, insert_readings
from husbandry.actions.readings import ReadingsBusyError
from husbandry.actions.sent_readings import take_readings
from husbandry.models import (
    Reading,
    ReadingImport,
    UnclaimedBatch,
    UnclaimedReadings,
)
from husbandry.queries import stored_readings
from husbandry.rules.loggers.vocabulary import MISSING
from husbandry.rules.readings import ReadingColumns
from husbandry.rules.unclaimed import UnclaimedColumns
from tests.factories import ProbeFactory
from tests.husbandry.batches import NOW, NOW_S, batch, counts, night_of, store, stored

if TYPE_CHECKING:
    from husbandry.rules.reading_reports import StoreReport


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
            # A server's file is in this mode already; two that switch it at once
            # would not wait for each other.
            with contextlib.closing(sqlite3.connect(path)) as file:
                file.execute("PRAGMA journal_mode=WAL")
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


@pytest.mark.django_db(transaction=True)
def test_batches_of_unknown_and_known_probes_at_once_wait_in_no_circle(
    shared_database: Any,
) -> None:
    probe = ProbeFactory()
    columns = batch(probe, *[(60 * n, 25_000, MISSING) for n in range(500)])
    nobodys = ReadingColumns.of(
        probe_ids=np.zeros(500, dtype=np.int64),
        at=columns.at,
        temperature=np.full(500, 25_000),
    )

    def take() -> None:
        taken = take_readings(
            columns=columns,
            unclaimed=UnclaimedColumns(("XX-9",), nobodys),
            by=None,
            token_name="",
            at=NOW,
        )
        assert taken.parked.waiting == 500

    def claim() -> None:
        for row in UnclaimedReadings.objects.filter(state="waiting"):
            # Whoever else is faster may have claimed it.
            with contextlib.suppress(UnclaimedError):
                claim_readings(unclaimed=row, probe=probe, by=None, at=NOW)

    there: list[Any] = []
    take()
    shared_database()

    raised = together(take, claim, take, claim, take)
    together(
        lambda: there.extend(
            (
                Reading.objects.count(),
                UnclaimedReadings.objects.filter(state="waiting").count() <= 1,
                *UnclaimedBatch.objects.values_list("readings", flat=True),
            )
        )
    )

    assert raised == []
    assert there in ([500, True], [500, True, 500])


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
