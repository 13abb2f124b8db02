"""Put readings into the table, as fast as each database takes them (ADR 0003)."""

import numpy as np
from django.db import connection
from numpy.typing import NDArray

from husbandry.queries.packed_arrays import IntArray, LongArray, binary_cursor
from husbandry.rules.loggers.vocabulary import MISSING
from husbandry.rules.readings import ReadingColumns

_INSERT = (
    "INSERT INTO husbandry_reading (probe_id, at, temperature_milli_c, "
    "humidity_milli_pct, uv_index_milli) VALUES (%s, %s, %s, %s, %s)"
)
_COPY = (
    "COPY husbandry_reading (probe_id, at, temperature_milli_c, "
    "humidity_milli_pct, uv_index_milli) FROM STDIN (FORMAT BINARY)"
)
_COMPLETE_SQLITE = """
    UPDATE husbandry_reading
       SET temperature_milli_c = COALESCE(temperature_milli_c, %s),
           humidity_milli_pct = COALESCE(humidity_milli_pct, %s),
           uv_index_milli = COALESCE(uv_index_milli, %s)
     WHERE probe_id = %s AND at = %s"""
# Rows are locked in key order first: two batches then wait, and never deadlock.
_LOCK_POSTGRES = """
    SELECT 1 FROM unnest(%s, %s) AS wanted(probe, at)
    JOIN husbandry_reading r ON r.probe_id = wanted.probe AND r.at = wanted.at
    ORDER BY r.probe_id, r.at FOR UPDATE OF r"""
# The number is MISSING, which stands in a column where nothing was measured.
_COMPLETE_POSTGRES = """
    UPDATE husbandry_reading r
       SET temperature_milli_c = COALESCE(r.temperature_milli_c, w.temperature),
           humidity_milli_pct = COALESCE(r.humidity_milli_pct, w.humidity),
           uv_index_milli = COALESCE(r.uv_index_milli, w.uv_index)
      FROM (SELECT probe, at, NULLIF(t, -2147483648) AS temperature,
                   NULLIF(h, -2147483648) AS humidity, NULLIF(u, -2147483648) AS uv_index
              FROM unnest(%s, %s, %s, %s, %s) AS given(probe, at, t, h, u)) AS w
     WHERE r.probe_id = w.probe AND r.at = w.at
       AND (r.temperature_milli_c = w.temperature) IS NOT FALSE
       AND (r.humidity_milli_pct = w.humidity) IS NOT FALSE
       AND (r.uv_index_milli = w.uv_index) IS NOT FALSE"""

# One row of PostgreSQL's binary COPY: a count of fields, then length and value.
_ROW = np.dtype(
    [
        ("fields", ">i2"),
        ("probe_size", ">i4"),
        ("probe", ">i8"),
        ("at_size", ">i4"),
        ("at", ">i8"),
        *(
            part
            for n in range(3)
            for part in ((f"size_{n}", ">i4"), (f"value_{n}", ">i4"))
        ),
    ]
)
_COPY_HEAD = b"PGCOPY\n\xff\r\n\x00" + bytes(8)
_COPY_TAIL = b"\xff\xff"
_NULL_SIZE = -1


def insert_readings(readings: ReadingColumns) -> None:
    """Insert readings of which none is stored.

    Args:
        readings: ordered by probe and instant, so that two batches that are
            written at once wait for each other in one order.

    Raises:
        django.db.IntegrityError: one of them was stored in the meantime; nothing
            of the batch is stored once the caller's transaction has rolled back.
    """
    if not len(readings):
        return
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with connection.wrap_database_errors, cursor.copy(_COPY) as copy:
                copy.write(copy_rows(readings))
        else:
            cursor.executemany(_INSERT, _rows(readings))


def copy_rows(readings: ReadingColumns) -> bytes:
    """Return readings as PostgreSQL's binary COPY format wants them."""
    rows = np.empty(len(readings), dtype=_ROW)
    rows["fields"] = 5
    rows["probe_size"] = rows["at_size"] = 8
    rows["probe"] = readings.probe_ids
    rows["at"] = readings.at
    kept = np.ones((len(readings), _ROW.itemsize), dtype=np.bool_)
    for n, column in enumerate(readings.values()):
        missing = column == MISSING
        rows[f"size_{n}"] = np.where(missing, _NULL_SIZE, 4)
        rows[f"value_{n}"] = column
        # A null is its length alone: its four bytes of value are left out.
        start = _ROW.fields[f"value_{n}"][1] if _ROW.fields else 0
        kept[:, start : start + 4] = ~missing[:, np.newaxis]
    cells = rows.view(np.uint8).reshape(len(readings), _ROW.itemsize)
    return _COPY_HEAD + cells[kept].tobytes() + _COPY_TAIL


def complete_readings(readings: ReadingColumns) -> int:
    """Add quantities to stored readings that do not have them yet.

    Args:
        readings: ordered by probe and instant; each is stored, and no quantity of
            it contradicted what was stored when it was compared.

    Returns:
        How many still did not contradict, and are completed.
    """
    if not len(readings):
        return 0
    if connection.vendor == "postgresql":
        return _complete_postgres(readings)
    rows = [(*values, probe, at) for probe, at, *values in _rows(readings)]
    with connection.cursor() as cursor:
        cursor.executemany(_COMPLETE_SQLITE, rows)
    return len(rows)  # SQLite lets one transaction write at a time


def _complete_postgres(readings: ReadingColumns) -> int:
    keys = [LongArray(readings.probe_ids), LongArray(readings.at)]
    values = [IntArray(column) for column in readings.values()]
    with (
        connection.wrap_database_errors,
        binary_cursor(connection.connection) as cursor,
    ):
        cursor.execute(_LOCK_POSTGRES, keys)
        cursor.execute(_COMPLETE_POSTGRES, [*keys, *values])
        return cursor.rowcount


def _rows(readings: ReadingColumns) -> list[tuple[int | None, ...]]:
    columns = [_or_none(column) for column in readings.values()]
    return list(
        zip(readings.probe_ids.tolist(), readings.at.tolist(), *columns, strict=True)
    )


def _or_none(column: NDArray[np.int32]) -> list[int | None]:
    missing = column == MISSING
    if missing.all():
        return [None] * len(column)
    values: list[int | None] = column.tolist()
    if missing.any():
        for place in np.flatnonzero(missing).tolist():
            values[place] = None
    return values
