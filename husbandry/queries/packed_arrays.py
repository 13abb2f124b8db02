"""Numpy columns in PostgreSQL's binary array format, both ways.

A list of Python integers costs more than the query it goes with; this is a copy
of the bytes. Format: PostgreSQL's array_send/array_recv (dimensions, a flag for
nulls, the element's type, then length and value of each element, big-endian).
"""

import struct
from typing import Any

import numpy as np
from numpy.typing import NDArray
from psycopg import Connection, Cursor
from psycopg.adapt import Dumper
from psycopg.pq import Format

_HEADER = struct.Struct(">iiIii")
_NO_NULLS = 0


class LongArray:
    """An int64 column as a bigint[] parameter."""

    def __init__(self, column: NDArray[np.int64]) -> None:
        self.data = _packed(column, size=8, element=20)


class IntArray:
    """An int32 column as an int4[] parameter."""

    def __init__(self, column: NDArray[np.int32]) -> None:
        self.data = _packed(column, size=4, element=23)


class _LongArrayDumper(Dumper):
    format = Format.BINARY
    oid = 1016  # bigint[]

    def dump(self, obj: LongArray | IntArray) -> bytes:
        """Return the bytes as they are."""
        return obj.data


class _IntArrayDumper(_LongArrayDumper):
    oid = 1007  # int4[]


def _packed(column: NDArray[Any], *, size: int, element: int) -> bytes:
    cells = np.empty(len(column), dtype=[("size", ">i4"), ("value", f">i{size}")])
    cells["size"] = size
    cells["value"] = column
    return (
        _HEADER.pack(1, _NO_NULLS, element, len(column), 1) + cells.tobytes()
        if len(column)
        else struct.pack(">iiI", 0, _NO_NULLS, element)
    )


def unpacked(data: bytes | None, *, size: int) -> NDArray[Any]:
    """Return an int4[] (size 4) or bigint[] (size 8) value; none for NULL.

    Args:
        data: a value in binary format without null elements, as from array_agg.
        size: bytes of one element.
    """
    if data is None:
        return np.empty(0, dtype=f"i{size}")
    cells = np.frombuffer(
        data, dtype=[("size", ">i4"), ("value", f">i{size}")], offset=_HEADER.size
    )
    return cells["value"].astype(f"i{size}")


def binary_cursor(raw: "Connection[Any]") -> "Cursor[Any]":
    """Return a cursor that sends parameters apart from the statement, in binary.

    Args:
        raw: psycopg's connection; Django's own cursor writes parameters into the
            statement as text.
    """
    cursor = Cursor(raw)
    cursor.format = Format.BINARY
    cursor.adapters.register_dumper(LongArray, _LongArrayDumper)
    cursor.adapters.register_dumper(IntArray, _IntArrayDumper)
    return cursor
