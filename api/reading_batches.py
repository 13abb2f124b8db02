"""Posted batches of readings, in columns or in rows, as exact thousandths."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Annotated, Any

import msgspec
import numpy as np
from msgspec import Meta
from numpy.typing import NDArray

from api.errors import RefusedError
from api.inputs import invalid_body, malformed
from api.row_lists import RefusedRow, check_count, take_rows
from api.structs import In
from husbandry.rules.loggers.vocabulary import MISSING
from husbandry.rules.readings import Millis

MOST_ROWS = 50_000
LAST_SECOND = 7_258_118_399  # 2199-12-31T23:59:59Z
LARGEST = 1_000_000.0
"""More than any instrument shows; beyond it thousandths do not fit their columns."""

Seconds = Annotated[int, Meta(ge=0, le=LAST_SECOND)]
Moment = Annotated[
    Seconds | Annotated[datetime, Meta(tz=True)],
    Meta(description="ISO 8601 with an offset, or whole seconds since 1970 UTC."),
]
Celsius = Annotated[float | None, Meta(description="°C.")]
Percent = Annotated[float | None, Meta(description="Relative humidity, %.")]
UvIndex = Annotated[float | None, Meta(description="UV index.")]
CODE = "Code of the probe, as on its label."


class ReadingIn(In, frozen=True):
    """What a probe measured at one instant; null or left out: not measured then."""

    probe: Annotated[str, Meta(description=CODE)]
    at: Moment
    temperature_c: Celsius = None
    humidity_pct: Percent = None
    uv_index: UvIndex = None


class ReadingRowsIn(In, frozen=True):
    """Readings of any probes, one by one; at most 50,000."""

    readings: Annotated[list[ReadingIn], Meta(min_length=1, max_length=MOST_ROWS)]


class ReadingColumnsIn(In, frozen=True):
    """Readings of one probe as columns of one length; at most 50,000."""

    probe: Annotated[str, Meta(description=CODE)]
    at: Annotated[list[Moment], Meta(min_length=1, max_length=MOST_ROWS)]
    temperature_c: list[Celsius] | None = None
    humidity_pct: list[Percent] | None = None
    uv_index: list[UvIndex] | None = None


class _RawRows(In, frozen=True):
    readings: list[msgspec.Raw]


class _RawColumns(In, frozen=True):
    probe: str
    at: list[msgspec.Raw]
    temperature_c: list[msgspec.Raw] | None = None
    humidity_pct: list[msgspec.Raw] | None = None
    uv_index: list[msgspec.Raw] | None = None


VALUES = ("temperature_c", "humidity_pct", "uv_index")
_ANY = msgspec.json.Decoder(dict[str, msgspec.Raw])
_ROWS = msgspec.json.Decoder(list[ReadingIn])
_COLUMNS = msgspec.json.Decoder(ReadingColumnsIn)


@dataclass(frozen=True, slots=True)
class Batch:
    """The readings that can be read, as columns, with their places as sent."""

    received: int
    places: Sequence[int]
    probes: Sequence[str]
    at: Sequence[int | datetime]
    values: tuple[Sequence[float | None], ...]
    """By quantity, in the order of `VALUES`."""
    refused: list[RefusedRow]


def read_batch(body: bytes) -> Batch:
    """Return a posted body as a batch of readings.

    Args:
        body: as `inputs.sent` returns it.

    Raises:
        RefusedError: it is neither form, or has too many rows, or columns of
            different lengths. A single bad value only refuses its row.
    """
    try:
        names = set(_ANY.decode(body))
    except msgspec.ValidationError as error:
        raise invalid_body(error, ReadingRowsIn) from error
    except (msgspec.DecodeError, RecursionError) as error:
        raise malformed(error) from error
    return _read_rows(body) if "readings" in names else _read_columns(body)


def _read_rows(body: bytes) -> Batch:
    raw = _decoded(body, _RawRows)
    check_count(len(raw.readings), most=MOST_ROWS)
    try:
        rows, places, refused = _fast_rows(body, len(raw.readings))
    except msgspec.ValidationError:
        taken = take_rows(raw.readings, ReadingIn, check=_nothing)
        rows, places, refused = taken.rows, taken.places, taken.refused
    return Batch(
        received=len(raw.readings),
        places=places,
        probes=[row.probe for row in rows],
        at=[row.at for row in rows],
        values=tuple([getattr(row, name) for row in rows] for name in VALUES),
        refused=refused,
    )


def _fast_rows(
    body: bytes, count: int
) -> tuple[list[ReadingIn], Sequence[int], list[RefusedRow]]:
    found = msgspec.json.decode(body, type=ReadingRowsIn)
    return found.readings, range(count), []


def _read_columns(body: bytes) -> Batch:
    raw = _decoded(body, _RawColumns)
    check_count(len(raw.at), most=MOST_ROWS)
    for name in VALUES:
        column = getattr(raw, name)
        if column is not None and len(column) != len(raw.at):
            raise RefusedError(
                "columns_differ",
                f"{name} has {len(column)} values and at has {len(raw.at)}; columns "
                "have one length. Send null where nothing was measured.",
                fields={name: f"{len(raw.at)} values"},
            )
    try:
        return _batch_of_columns(_COLUMNS.decode(body))
    except msgspec.ValidationError:
        return _batch_of_cells(raw)


def _decoded(body: bytes, wanted: type[Any]) -> Any:
    try:
        return msgspec.json.decode(body, type=wanted)
    except msgspec.ValidationError as error:
        shown = ReadingRowsIn if wanted is _RawRows else ReadingColumnsIn
        raise invalid_body(error, shown) from error


def _batch_of_columns(columns: ReadingColumnsIn) -> Batch:
    count = len(columns.at)
    nothing: list[float | None] = [None] * count
    return Batch(
        received=count,
        places=range(count),
        probes=[columns.probe] * count,
        at=columns.at,
        values=tuple(getattr(columns, name) or nothing for name in VALUES),
        refused=[],
    )


def _batch_of_cells(raw: _RawColumns) -> Batch:
    """Write columns with a bad value as rows, so that only its row is refused."""
    probe = msgspec.json.encode(raw.probe)
    columns = {name: getattr(raw, name) for name in ("at", *VALUES)}
    rows = [
        b'{"probe":%b%b}'
        % (
            probe,
            b"".join(
                b',"%b":%b' % (name.encode(), bytes(column[place]))
                for name, column in columns.items()
                if column is not None
            ),
        )
        for place in range(len(raw.at))
    ]
    taken = take_rows([msgspec.Raw(row) for row in rows], ReadingIn, check=_nothing)
    return Batch(
        received=len(rows),
        places=taken.places,
        probes=[row.probe for row in taken.rows],
        at=[row.at for row in taken.rows],
        values=tuple([getattr(row, name) for row in taken.rows] for name in VALUES),
        refused=taken.refused,
    )


def _nothing(row: ReadingIn) -> None:
    """Leave it to storing, which knows from when until when readings can be."""


def seconds(at: int | datetime) -> int:
    """Return an instant in whole epoch seconds; a fraction is cut off."""
    return at if isinstance(at, int) else int(at.timestamp() // 1)


def thousandths(
    values: Sequence[float | None],
) -> tuple[Millis, NDArray[np.bool_]]:
    """Return numbers as exact thousandths, and which of them are too large.

    Args:
        values: None where nothing was measured.

    Returns:
        int32 thousandths, rounded half to even by the decimals as they were
        written, `MISSING` where nothing was measured or it is too large; and the
        mask of the latter.
    """
    given = np.array(values, dtype=np.float64)
    missing = np.isnan(given)
    too_large = np.abs(np.where(missing, 0.0, given)) > LARGEST
    scaled = np.where(missing | too_large, 0.0, given) * 1000
    milli = np.rint(scaled)
    # Near a half the binary product may have lost what the decimals say.
    near_half = np.abs(np.abs(scaled - np.trunc(scaled)) - 0.5) < 1e-3
    for place in np.flatnonzero(near_half):
        exact = Decimal(repr(float(given[place]))) * 1000
        milli[place] = int(exact.to_integral_value(ROUND_HALF_EVEN))
    found = milli.astype(np.int32)
    found[missing | too_large] = MISSING
    return found, too_large
