"""Readings for an export: columns in order, a bounded number at a time.

A row object for each reading would take longer than reading and writing it
(ADR 0002, ADR 0021).
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import pyarrow as pa
from django.db import connection
from numpy.typing import NDArray

from core.exports.columns import INSTANT, WORD, Column
from core.exports.reading import Selected, schema_of
from husbandry.models import Probe, Stay
from husbandry.queries.nights import night_readings
from husbandry.rules.conditions import MISSING, Readings

Int64s = NDArray[np.int64]

NAME = "readings"
ROWS = 2**16
"""So many rows are read at once, or those of one second where these are more."""
_HOUR_S = 3600
_THOUSANDTHS = pa.decimal128(10, 3)
_MICROSECONDS = 1_000_000
COLUMNS = (
    Column("at", INSTANT, meaning="When it was measured."),
    Column("probe", WORD, meaning="Code of the probe."),
    Column("temperature_c", _THOUSANDTHS, "°C", "Empty: not measured then."),
    Column("humidity_pct", _THOUSANDTHS, "%", "Empty: not measured then."),
    Column("uv_index", _THOUSANDTHS, "1", "UV index; empty: not measured then."),
)


@dataclass(frozen=True, slots=True)
class Stretch:
    """Some probes from an instant until another.

    Attributes:
        probes: primary key and code of each, by code.
        from_s: epoch second from which readings are wanted.
        until_s: epoch second before which they are wanted.
    """

    probes: tuple[tuple[int, str], ...]
    from_s: int
    until_s: int


def readings_exported(stretches: Callable[[], Sequence[Stretch]]) -> Selected:
    """Return readings as they are exported; nothing is read yet.

    Args:
        stretches: says which, at the instant of the export: one after the other in
            the file; in each, readings stand by
            instant and then by the probe's code. One of no probes has none.
    """
    return Selected(NAME, COLUMNS, lambda: _batches(stretches()))


def stretch_of(
    *, from_s: int, until_s: int, probe: str = "", enclosure: str = "", site: str = ""
) -> Stretch:
    """Return the probes of a place over a time; one query.

    Args:
        from_s: epoch second from which readings are wanted.
        until_s: epoch second before which they are wanted.
        probe: code of the only one wanted; empty: all, and so on.
        enclosure: code of the enclosure that they are in.
        site: code of the site that they are on.
    """
    given = {
        "code": probe,
        "enclosure__code": enclosure,
        "enclosure__room__site__code": site,
    }
    wanted = {path: code for path, code in given.items() if code}
    probes = Probe.objects.filter(**wanted).order_by("code", "pk")
    return Stretch(tuple(probes.values_list("pk", "code")), from_s, until_s)


def stretches_of_animal(*, animal_id: int, until_s: int) -> tuple[Stretch, ...]:
    """Return the probes of each enclosure an animal lived in, while it did.

    Two queries.

    Args:
        animal_id: the animal.
        until_s: epoch second at which a stay that goes on is taken to end.
    """
    stays = list(
        Stay.objects.filter(animal=animal_id)
        .order_by("from_at", "pk")
        .values_list("enclosure_id", "from_at", "until_at")
    )
    found: dict[int, list[tuple[int, str]]] = {place: [] for place, _, _ in stays}
    probes = Probe.objects.filter(enclosure__in=found).order_by("code", "pk")
    for place, pk, code in probes.values_list("enclosure_id", "pk", "code"):
        found[place].append((pk, code))
    return tuple(
        Stretch(
            tuple(found[place]),
            int(np.ceil(from_at.timestamp())),
            int(np.ceil(until_at.timestamp())) if until_at else until_s,
        )
        for place, from_at, until_at in stays
    )


def _batches(stretches: Sequence[Stretch]) -> Iterator[pa.RecordBatch]:
    schema = schema_of(COLUMNS)
    for stretch in stretches:
        if not stretch.probes:
            continue
        ids = np.array([pk for pk, _ in stretch.probes], np.int64)
        codes = pa.array([code for _, code in stretch.probes], pa.string())
        for from_s, until_s in _windows(ids, stretch.from_s, stretch.until_s):
            found = night_readings(probe_ids=ids, from_s=from_s, until_s=until_s)
            yield pa.RecordBatch.from_arrays(_arrays(found, codes), schema=schema)


def _windows(ids: Int64s, from_s: int, until_s: int) -> Iterator[tuple[int, int]]:
    """Divide a time so that each part has few enough readings; parts without are left out.

    Counted by the hour first, and by the second in hours that have too many.
    """
    begin = end = from_s
    rows = 0
    for start_s, step_s, count in _counted(ids, from_s, until_s):
        if rows and rows + count > ROWS:
            yield begin, end
            rows = 0
        if not rows:
            begin = max(start_s, from_s)
        rows += count
        end = min(start_s + step_s, until_s)
    if rows:
        yield begin, end


def _counted(ids: Int64s, from_s: int, until_s: int) -> Iterator[tuple[int, int, int]]:
    """Yield when each part with readings begins, how long it is, how many it has."""
    for hour_s, count in _counts(ids, from_s, until_s, _HOUR_S):
        if count <= ROWS:
            yield hour_s, _HOUR_S, count
        else:
            ends = max(from_s, hour_s), min(until_s, hour_s + _HOUR_S)
            for second_s, some in _counts(ids, *ends, 1):
                yield second_s, 1, some


def _counts(
    ids: Int64s, from_s: int, until_s: int, step_s: int
) -> list[tuple[int, int]]:
    given = ",".join(map(str, ids.tolist()))
    few = 2 * len(ids) < Probe.objects.count() or connection.vendor == "sqlite"
    among = f"AND probe_id IN ({given})" if few else ""
    # Instants before 1970 are refused at every door: dividing goes down.
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT at / {step_s:d} AS part, count(*) FROM husbandry_reading "  # noqa: S608 - numbers only
            f"WHERE at >= {from_s:d} AND at < {until_s:d} {among} "
            "GROUP BY part ORDER BY part"
        )
        return [(part * step_s, count) for part, count in cursor.fetchall()]


def _arrays(found: Readings, codes: pa.Array) -> list[pa.Array]:
    order = np.lexsort((found.probe, found.at))
    probe, at = found.probe[order], found.at[order]
    return [
        pa.array(at * _MICROSECONDS).view(INSTANT),
        pa.DictionaryArray.from_arrays(pa.array(probe), codes),
        *(_thousandths(values[order]) for values in found.values),
    ]


def _thousandths(values: NDArray[np.int32]) -> pa.Array:
    """Return whole thousandths as exact decimals: the same numbers, named anew."""
    present = values != MISSING
    # Arrow keeps a decimal in two halves, the lower first; the upper has the sign.
    halves = np.empty((len(values), 2), "<i8")
    halves[:, 0] = values
    halves[:, 1] = values >> 31
    bits = np.packbits(present, bitorder="little")
    return pa.Array.from_buffers(
        _THOUSANDTHS, len(values), [pa.py_buffer(bits), pa.py_buffer(halves)]
    )
