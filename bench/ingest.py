"""Taking readings in: a posted batch of 5,000 values, first time and again.

The floor is what the database needs for the same rows without any question asked:
binary COPY of rows that are encoded already (PostgreSQL), or one bare executemany of
rows that are tuples already (SQLite), each in a transaction of its own.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np
from django.db import connection, transaction

from bench.frame import Figure, progress, side_by_side
from bench.herd import DAY_S, INTERVAL_S, START_S, VALUES, Herd, arriving, stock
from bench.scratch import scratch_database
from husbandry.actions.reading_storage import copy_rows, insert_readings
from husbandry.actions.readings import store_readings
from husbandry.queries.stored_readings import stored_beside
from husbandry.rules.reading_batches import compare_with_stored, settle_repeats
from husbandry.rules.reading_reports import StoreReport
from husbandry.rules.readings import ReadingColumns

VALUES_IN_BATCH = 5_000
SHAPES = (50, 1_250)
"""Enclosures: a gateway that catches up on two hours, and one that sends each instant
of a large house."""
REPEATS = 15
HISTORY_S = DAY_S // 4
_COPY = (
    "COPY husbandry_reading (probe_id, at, temperature_milli_c, "
    "humidity_milli_pct, uv_index_milli) FROM STDIN (FORMAT BINARY)"
)
_INSERT = (
    "INSERT INTO husbandry_reading (probe_id, at, temperature_milli_c, "
    "humidity_milli_pct, uv_index_milli) VALUES (%s, %s, %s, %s, %s)"
)
WRITE, STORE, AGAIN, FLOOR = "write", "store", "again", "floor"


def figures(*, size: int | None) -> Iterator[Figure]:
    """Yield the figures of each shape of batch; `size` is one number of enclosures."""
    with scratch_database():
        for enclosures in (size,) if size else SHAPES:
            yield from _figures(enclosures)


def _figures(enclosures: int) -> Iterator[Figure]:
    progress(f"a batch of {VALUES_IN_BATCH} values from {enclosures} enclosures")
    house = _House(stock(enclosures), START_S)
    house.fill()
    taken = side_by_side(
        {
            FLOOR: house.put_bare,
            WRITE: house.write,
            STORE: house.store,
            AGAIN: house.store_again,
        },
        repeats=REPEATS,
    )
    batch = f"{VALUES_IN_BATCH} values of {enclosures} enclosures"
    floor = taken[FLOOR]
    yield Figure(
        f"write {batch}, once only",
        taken[WRITE], floor, 1.5 if on_postgres() else None, beneath(),
    )  # fmt: skip
    yield Figure(
        f"check, write and record {batch}",
        taken[STORE], floor, 2.5 if on_postgres() else None, beneath(),
    )  # fmt: skip
    yield Figure("the same batch again", taken[AGAIN], taken[STORE], 1.0, "first time")


@dataclass
class _House:
    """Batches of a herd, each later than the one before."""

    herd: Herd
    next_s: int
    last: ReadingColumns | None = None

    def batch(self) -> ReadingColumns:
        """Return the next batch, in the order in which readings arrive."""
        rows = VALUES_IN_BATCH * 2 // VALUES
        intervals = -(-rows // len(self.herd.probe_ids))
        until_s = self.next_s + intervals * INTERVAL_S
        columns = self._columns(until_s)
        return columns.take(slice(rows))

    def _columns(self, until_s: int) -> ReadingColumns:
        parts = list(arriving(self.herd, self.next_s, until_s))
        self.next_s = until_s
        return ReadingColumns(
            self.herd.probe_ids[np.concatenate([part.probe for part in parts])],
            np.concatenate([part.at for part in parts]),
            np.concatenate([part.temperature for part in parts]),
            np.concatenate([part.humidity for part in parts]),
            np.concatenate([part.uv_index for part in parts]),
        )

    def fill(self) -> None:
        """Store some history, so that the index has grown."""
        with transaction.atomic():
            insert_readings(self._columns(self.next_s + HISTORY_S))
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
        self._ahead()

    def _ahead(self) -> None:
        # Batches are made before anything is timed.
        batches = [self.batch() for _ in range(3 * (REPEATS + 1))]
        self._waiting = iter(batches)
        self._bare = iter([bare_work(batch) for batch in batches[::3]])
        self._written = iter(batches[1::3])
        self._stored = iter(batches[2::3])

    def put_bare(self) -> None:
        """Put the rows in without a question."""
        next(self._bare)()

    def write(self) -> None:
        """Look, compare, write: what makes a batch safe to send again."""
        columns = next(self._written)
        with transaction.atomic():
            readings = settle_repeats(columns).readings
            compared = compare_with_stored(readings, stored_beside(readings))
            insert_readings(readings.take(compared.new))

    def store(self) -> None:
        """Do all that a posted batch takes."""
        self.last = next(self._stored)
        report = self._store(self.last)
        if report.stored != len(self.last):
            raise RuntimeError(f"not all was stored: {report}")

    def store_again(self) -> None:
        """Do it again with the batch of the last time."""
        if self.last is None or self._store(self.last).known != len(self.last):
            raise RuntimeError("the same batch was not known")

    def _store(self, columns: ReadingColumns) -> StoreReport:
        at = datetime.fromtimestamp(self.next_s, UTC)
        return store_readings(columns=columns, by=None, at=at)


def on_postgres() -> bool:
    """Say whether the figures are PostgreSQL's."""
    return connection.vendor == "postgresql"


def beneath() -> str:
    """Return what the floor of storing is."""
    return "binary COPY in" if on_postgres() else "bare executemany"


def bare_work(columns: ReadingColumns) -> Callable[[], None]:
    """Return what puts readings in without any question, made beforehand."""
    if on_postgres():
        rows = copy_rows(columns)
        return lambda: _copy(rows)
    tuples = list(
        zip(
            columns.probe_ids.tolist(),
            columns.at.tolist(),
            *(column.tolist() for column in columns.values()),
            strict=True,
        )
    )
    return lambda: _execute_many(tuples)


def _copy(rows: bytes) -> None:
    with (
        transaction.atomic(),
        connection.cursor() as cursor,
        cursor.copy(_COPY) as copy,
    ):
        copy.write(rows)


def _execute_many(rows: list[tuple[int, ...]]) -> None:
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.executemany(_INSERT, rows)
