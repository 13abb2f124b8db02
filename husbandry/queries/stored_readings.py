"""What storing readings has to look up: the probes, and what is stored already."""

import json
from datetime import date
from functools import lru_cache
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from django.db import InterfaceError, connection

from core.zones import day_bounds
from husbandry.models import Probe
from husbandry.queries.packed_arrays import LongArray, binary_cursor, unpacked
from husbandry.rules.loggers.vocabulary import MISSING
from husbandry.rules.readings import (
    HOLD_INTERVALS,
    Longs,
    ProbesInUse,
    ReadingColumns,
)

STILL_IN_USE = int(np.iinfo(np.int64).max)
_NAMED_AT_MOST = 1_000
"""With more probes than this all of them are read: SQLite limits parameters."""
_FIELDS = (
    "id",
    "enclosure__room__site_id",
    "enclosure__room__site__time_zone",
    "from_on",
    "retired_on",
    "interval_s",
    "measures_temperature",
    "measures_humidity",
    "measures_uv_index",
)


def probes_in_use(*, probe_ids: Longs) -> tuple[ProbesInUse, dict[int, str]]:
    """Return what is known of the probes that readings name. One query.

    Args:
        probe_ids: each once or more; ids that do not exist are left out of the
            answer, which may hold other probes beside.

    Returns:
        The probes, and the time zone of each of their sites.
    """
    ids = np.unique(probe_ids)
    probes = Probe.objects.order_by("id")
    if len(ids) <= _NAMED_AT_MOST:
        probes = probes.filter(id__in=ids.tolist())
    rows = list(probes.values_list(*_FIELDS))
    columns: list[tuple[Any, ...]] = list(zip(*rows, strict=True))
    pks, sites, zones, first_days, last_days, intervals, *measures = columns or [
        ()
    ] * len(_FIELDS)
    temperature, humidity, uv_index = (np.array(m, dtype=np.bool_) for m in measures)
    return ProbesInUse(
        ids=np.array(pks, dtype=np.int64),
        from_s=np.array(list(map(_day_start, first_days, zones)), dtype=np.int64),
        until_s=np.array(list(map(_day_end, last_days, zones)), dtype=np.int64),
        hold_s=HOLD_INTERVALS * np.array(intervals, dtype=np.int64),
        measures=(temperature, humidity, uv_index),
        site_ids=np.array(sites, dtype=np.int64),
    ), dict(zip(sites, zones, strict=True))


@lru_cache(maxsize=4096)
def _day_start(on: date, zone: str) -> int:
    return day_bounds(on, zone=ZoneInfo(zone))[0]


@lru_cache(maxsize=4096)
def _day_end(on: date | None, zone: str) -> int:
    if on is None:
        return STILL_IN_USE
    return day_bounds(on, zone=ZoneInfo(zone))[1]


# LIMIT within keeps PostgreSQL from scanning the history once instead of looking
# into the index for each probe, which its guesses about ranges would make it do.
_BY_RANGE_POSTGRES = """
    unnest(%s, %s, %s) AS wanted(probe, first, last)
    CROSS JOIN LATERAL (
        SELECT * FROM husbandry_reading
         WHERE probe_id = wanted.probe AND at BETWEEN wanted.first AND wanted.last
         ORDER BY at LIMIT %s
    ) AS r LIMIT %s"""
_BY_KEY_POSTGRES = """
    unnest(%s, %s) AS wanted(probe, at)
    CROSS JOIN LATERAL (
        SELECT * FROM husbandry_reading
         WHERE probe_id = wanted.probe AND at = wanted.at LIMIT 1
    ) AS r"""
# CROSS JOIN keeps SQLite from scanning the table and looking into the list.
_BY_RANGE_SQLITE = """
    json_each(%s) AS wanted CROSS JOIN husbandry_reading r
      ON r.probe_id = json_extract(wanted.value, '$[0]')
     AND r.at BETWEEN json_extract(wanted.value, '$[1]') AND json_extract(wanted.value, '$[2]')
    LIMIT %s"""
_BY_KEY_SQLITE = """
    json_each(%s) AS wanted CROSS JOIN husbandry_reading r
      ON r.probe_id = json_extract(wanted.value, '$[0]') AND r.at = json_extract(wanted.value, '$[1]')"""
_SELECT = """
    SELECT r.probe_id, r.at, COALESCE(r.temperature_milli_c, {missing}) AS temperature,
           COALESCE(r.humidity_milli_pct, {missing}) AS humidity,
           COALESCE(r.uv_index_milli, {missing}) AS uv_index
      FROM {source}"""
_AS_ARRAYS = """
    SELECT array_agg(probe_id), array_agg(at), array_agg(temperature),
           array_agg(humidity), array_agg(uv_index) FROM ({rows}) AS found"""
_ROOM_FOR_OTHERS = 2_000


def stored_beside(readings: ReadingColumns) -> ReadingColumns:
    """Return the stored readings of the same probes and instants, and some others.

    One query as a rule: everything that is stored of each probe between the first
    and the last instant given, which is nothing when readings come in order. Where
    that is far more than was asked for, a second query asks for the keys alone.

    Args:
        readings: ordered by probe and instant.
    """
    if not len(readings):
        return readings
    probes, starts = np.unique(readings.probe_ids, return_index=True)
    first = np.minimum.reduceat(readings.at, starts)
    last = np.maximum.reduceat(readings.at, starts)
    most = 2 * len(readings) + _ROOM_FOR_OTHERS
    wanted = (probes, first, last)
    if connection.vendor == "postgresql":
        found = _from_postgres(_BY_RANGE_POSTGRES, wanted, most, most)
    else:
        found = _from_sqlite(_BY_RANGE_SQLITE, wanted, most)
    if len(found) < most:
        return found
    keys = (readings.probe_ids, readings.at)
    if connection.vendor == "postgresql":
        return _from_postgres(_BY_KEY_POSTGRES, keys)
    return _from_sqlite(_BY_KEY_SQLITE, keys)


def _from_sqlite(
    source: str, wanted: tuple[Longs, ...], *limits: int
) -> ReadingColumns:
    keys = json.dumps(np.column_stack(wanted).tolist())
    with connection.cursor() as cursor:
        cursor.execute(_SELECT.format(missing=MISSING, source=source), [keys, *limits])
        table = np.array(cursor.fetchall(), dtype=np.int64).reshape(-1, 5)
    return ReadingColumns.of(
        probe_ids=table[:, 0],
        at=table[:, 1],
        temperature=table[:, 2],
        humidity=table[:, 3],
        uv_index=table[:, 4],
    )


def _from_postgres(
    source: str, wanted: tuple[Longs, ...], *limits: int
) -> ReadingColumns:
    rows = _SELECT.format(missing=MISSING, source=source)
    connection.ensure_connection()
    with (
        connection.wrap_database_errors,
        binary_cursor(connection.connection) as cursor,
    ):
        cursor.execute(
            _AS_ARRAYS.format(rows=rows),
            [*(LongArray(column) for column in wanted), *limits],
        )
        result = cursor.pgresult
        if result is None:
            raise InterfaceError("The server gave no result to a SELECT.")
        longs = [unpacked(result.get_value(0, n), size=8) for n in range(2)]
        ints = [unpacked(result.get_value(0, n), size=4) for n in range(2, 5)]
    return ReadingColumns(*longs, *ints)
