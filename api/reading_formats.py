"""Posted batches of readings, in each of the formats that are taken."""

from collections.abc import Callable
from dataclasses import dataclass
from http import HTTPStatus
from typing import Annotated, Any

import msgspec
import numpy as np
from msgspec import Meta

from api.errors import RefusedError
from api.inputs import invalid_body, malformed
from api.reading_batches import Batch
from api.reading_lines import read_csv, read_ndjson
from api.reading_rows import read_each, unsound
from api.reading_structs import (
    MOST_ROWS,
    VALUES,
    ReadingColumnsIn,
    ReadingIn,
    ReadingRowsIn,
)
from api.row_lists import check_count
from api.structs import In

MOST_VALUES = 10 * MOST_ROWS
"""A reading has five at most; the rest is for commas within texts."""


# Of msgpack, a length is looked at before the memory for it is taken.
_Raws = Annotated[list[msgspec.Raw], Meta(max_length=MOST_ROWS)]
_Names = Annotated[dict[str, msgspec.Raw], Meta(max_length=100)]


class _RawRows(In, frozen=True):
    readings: _Raws


class _RawColumns(In, frozen=True):
    probe: str
    at: _Raws
    temperature_c: _Raws | None = None
    humidity_pct: _Raws | None = None
    uv_index: _Raws | None = None


@dataclass(frozen=True, slots=True)
class Codec:
    """How the two shapes are written."""

    decode: Callable[..., Any]
    malformed: Callable[[Exception], RefusedError]


def _malformed_msgpack(error: Exception) -> RefusedError:
    reason = "nested too deep" if isinstance(error, RecursionError) else str(error)
    return RefusedError("malformed_msgpack", f"The body is not msgpack: {reason}.")


JSON = Codec(msgspec.json.decode, malformed)
MSGPACK = Codec(msgspec.msgpack.decode, _malformed_msgpack)


def read_batch(body: bytes, kind: str = "json") -> Batch:
    """Return a posted body as a batch of readings.

    Args:
        body: its bytes; JSON as `inputs.sent` returns it.
        kind: the `part` of its parser: json, msgpack, ndjson or csv.

    Raises:
        RefusedError: it is not in that format, or has too many rows, or columns of
            different lengths. A single bad value only refuses its row.
    """
    if kind == "ndjson":
        return read_ndjson(body)
    if kind == "csv":
        return read_csv(body)
    return _read_shape(body, MSGPACK if kind == "msgpack" else JSON)


def _read_shape(body: bytes, codec: Codec) -> Batch:
    _check_values(body, codec)
    # Columns first: of rows, the first name already says that they are none.
    try:
        columns: ReadingColumnsIn = codec.decode(body, type=ReadingColumnsIn)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        names = set(_decoded(body, codec, _Names, ReadingRowsIn))
        read = _read_rows if "readings" in names else _read_cells
        return read(body, codec)
    return _read_columns(columns) or _read_cells(body, codec)


def _check_values(body: bytes, codec: Codec) -> None:
    """Refuse what has far more values than 50,000 readings, before they take memory."""
    if codec is JSON and body.count(b",") > MOST_VALUES:
        raise _too_many()


def _too_many() -> RefusedError:
    return RefusedError(
        "too_many_rows",
        f"There are more than {MOST_ROWS:,} rows, which is all that is taken at once. "
        "Send them in parts.",
        status=HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
    )


def _decoded(body: bytes, codec: Codec, wanted: Any, shown: Any) -> Any:
    try:
        return codec.decode(body, type=wanted)
    except msgspec.ValidationError as error:
        if f"of length <= {MOST_ROWS}" in str(error):
            raise _too_many() from error
        raise invalid_body(error, shown) from error
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        raise codec.malformed(error) from error


def _read_rows(body: bytes, codec: Codec) -> Batch:
    try:
        rows: list[ReadingIn] = codec.decode(body, type=ReadingRowsIn).readings
    except (msgspec.DecodeError, UnicodeDecodeError):
        rows = []
    if rows and not any(map(unsound, rows)):
        return Batch.of_rows(rows, range(len(rows)), [], received=len(rows))
    raw = _decoded(body, codec, _RawRows, ReadingRowsIn).readings
    check_count(len(raw), most=MOST_ROWS)
    return read_each(raw, codec.decode)


def _read_columns(columns: ReadingColumnsIn) -> Batch | None:
    """Return columns as a batch; None where only a look at each row tells."""
    given = [getattr(columns, name) for name in VALUES]
    _check_lengths(columns)
    if "\x00" in columns.probe or not all(map(_all_finite, given)):
        return None
    return Batch.of(
        received=len(columns.at),
        places=range(len(columns.at)),
        probes=columns.probe,
        at=columns.at,
        values=given,
        refused=[],
    )


def _read_cells(body: bytes, codec: Codec) -> Batch:
    """Read columns with a bad value as rows, so that only its row is refused."""
    raw = _decoded(body, codec, _RawColumns, ReadingColumnsIn)
    check_count(len(raw.at), most=MOST_ROWS)
    _check_lengths(raw)
    columns = {name: getattr(raw, name) for name in ("at", *VALUES)}
    given = {name: cells for name, cells in columns.items() if cells is not None}

    def plain(place: int) -> object:
        cells = {name: codec.decode(cells[place]) for name, cells in given.items()}
        return {"probe": raw.probe, **cells}

    return read_each(range(len(raw.at)), plain)


def _check_lengths(columns: Any) -> None:
    count = len(columns.at)
    for name in VALUES:
        column = getattr(columns, name)
        if column is not None and len(column) != count:
            raise RefusedError(
                "columns_differ",
                f"{name} has {len(column)} values and at has {count}; columns "
                "have one length. Send null where nothing was measured.",
                fields={name: f"{count} values"},
            )


def _all_finite(column: list[float | None] | None) -> bool:
    """Say whether no number is none: msgpack can write NaN, JSON cannot."""
    if column is None:
        return True
    numbers = np.array(column, dtype=np.float64)
    unmeasured = int(np.isnan(numbers).sum()) == column.count(None)
    return unmeasured and not np.isinf(numbers).any()
