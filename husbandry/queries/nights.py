"""Read a night's readings as arrays, as fast as each database hands them out.

A row object for each reading, as the ORM or a cursor makes it, would take longer
than all sums together (ADR 0002).
"""

import json
from collections.abc import Iterator
from typing import Any, TypeAlias

import numpy as np
from django.db import connection
from numpy.typing import NDArray

from husbandry.models import Probe
from husbandry.queries.copying import copied_out, row_type
from husbandry.rules.conditions import MISSING, Readings

Int64s: TypeAlias = NDArray[np.int64]

Columns: TypeAlias = tuple[NDArray[Any], ...]

# The fields of Readings, in the order in which both databases select them.
KINDS = {
    "probe": np.int32,
    "at": np.int64,
    "temperature": np.int32,
    "humidity": np.int32,
    "uv_index": np.int32,
}
RECORD = np.dtype([*KINDS.items()])
LEAST_ROWS = 2**16
ROW = row_type({name: ">i8" if name in {"probe", "at"} else ">i4" for name in KINDS})
VALUES = tuple(
    f"COALESCE({column}, {MISSING})"
    for column in ("temperature_milli_c", "humidity_milli_pct", "uv_index_milli")
)


def night_readings(
    *, probe_ids: Int64s, from_s: int | Int64s, until_s: int
) -> Readings:
    """Return the readings of some probes in a window of time.

    Args:
        probe_ids: primary keys, each once; none: no readings.
        from_s: epoch second from which readings are wanted; one for all, or one for
            each probe, so that one whose readings hold for days does not make the
            days before be read of all.
        until_s: epoch second before which they are wanted.

    Returns:
        Them, each numbered by its probe's place in `probe_ids`, in any order.
    """
    if not len(probe_ids):
        return _joined(iter(()))
    from_s = np.broadcast_to(np.asarray(from_s, np.int64), probe_ids.shape)
    return _joined(_numbered(_windows(probe_ids, from_s, until_s), probe_ids))


def _windows(probe_ids: Int64s, from_s: Int64s, until_s: int) -> Iterator[Columns]:
    """Read what goes before for the few that want it, then the rest for all."""
    read = _from_postgresql if connection.vendor == "postgresql" else _from_sqlite
    latest_s = int(from_s.max())
    early = from_s < latest_s
    if early.any():
        yield from read(probe_ids[early], int(from_s.min()), latest_s)
    yield from read(probe_ids, latest_s, until_s)


def _from_postgresql(probe_ids: Int64s, from_s: int, until_s: int) -> Iterator[Columns]:
    """Read by block range; by the key only where few of all probes are wanted."""
    sql = (
        f"SELECT probe_id, at, {', '.join(VALUES)} FROM husbandry_reading "  # noqa: S608 - numbers only
        f"WHERE at >= {from_s:d} AND at < {until_s:d}"
    )
    if 2 * len(probe_ids) < Probe.objects.count():
        sql += f" AND probe_id = ANY('{{{','.join(map(str, probe_ids.tolist()))}}}')"
    for rows in copied_out(sql, ROW):
        yield tuple(rows[name] for name in KINDS)


def _from_sqlite(probe_ids: Int64s, from_s: int, until_s: int) -> Iterator[Columns]:
    """Let SQLite write each probe's columns as text, which numpy reads at once."""
    grouped = ", ".join(f"group_concat({column})" for column in ("at", *VALUES))
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT probe_id, count(*), {grouped} FROM husbandry_reading "  # noqa: S608 - constants only
            "WHERE probe_id IN (SELECT value FROM json_each(%s)) "
            "AND at >= %s AND at < %s GROUP BY probe_id",
            [json.dumps(probe_ids.tolist()), from_s, until_s],
        )
        rows = cursor.fetchall()
    if rows:
        probes, counts, *columns = zip(*rows, strict=True)
        yield (
            np.repeat(np.array(probes), counts),
            *(np.fromstring(",".join(text), np.int64, sep=",") for text in columns),
        )


def _numbered(parts: Iterator[Columns], probe_ids: Int64s) -> Iterator[Columns]:
    """Number probes by place; leave out readings of any other probe."""
    place = np.full(int(probe_ids.max()) + 2, -1, np.int32)
    place[probe_ids] = np.arange(len(probe_ids))
    for probe, *others in parts:
        number = place.take(probe, mode="clip")
        columns = (number, *others)
        if number.min() < 0:
            columns = tuple(column[number >= 0] for column in columns)
        yield columns


def _joined(parts: Iterator[Columns]) -> Readings:
    """Copy parts into one table of records, each part let go of at once.

    Collected first and joined later they would be in memory twice, and that would
    set the memory which the largest night needs. One table rather than a column
    each: it grows without holes, and what belongs together is fetched together.
    """
    table = np.empty(LEAST_ROWS, RECORD)
    used = 0
    for part in parts:
        end = used + len(part[0])
        if end > len(table):
            table.resize(max(end, len(table) + len(table) // 16), refcheck=False)
        for name, values in zip(KINDS, part, strict=True):
            table[name][used:end] = values
        used = end
    return Readings(**{name: table[name][:used] for name in KINDS})
