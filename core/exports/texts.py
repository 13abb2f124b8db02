"""Columns as text, all rows of a batch at once.

A value is turned into text once, however many rows have it: readings repeat
themselves, and so do words.
"""

from collections.abc import Callable

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

Written = Callable[[pa.Array], pa.Array]


def by_distinct(column: pa.Array, written: Written) -> pa.Array:
    """Return a column as text.

    Args:
        column: of any type; an empty cell stays empty.
        written: turns distinct values into text.
    """
    if not pa.types.is_dictionary(column.type):
        column = column.dictionary_encode()
    return written(column.dictionary).take(column.indices)


def plain(values: pa.Array) -> pa.Array:
    """Return values as text: instants and times by ISO 8601, decimals exactly.

    Args:
        values: of any type but text; instants in UTC.

    Source:
        iso-8601
    """
    if pa.types.is_timestamp(values.type):
        told = _whole(values, pa.timestamp("s", "UTC")).cast(pa.string())
        return pc.replace_substring(told, pattern=" ", replacement="T")
    if pa.types.is_time(values.type):
        return _whole(values, pa.time32("s")).cast(pa.string())
    return values.cast(pa.string())


def _whole(values: pa.Array, seconds: pa.DataType) -> pa.Array:
    """Return instants or times in whole seconds, unless one of them has a fraction."""
    try:
        return values.cast(seconds)
    except pa.ArrowInvalid:
        return values


def joined(pieces: list[pa.Array | str], *, empty: str) -> bytes:
    """Return rows that are joined from pieces, one after the other.

    Args:
        pieces: columns of text, and what stands between them; at least one column.
        empty: what an empty cell is written as.
    """
    rows = pc.binary_join_element_wise(
        *pieces, "", null_handling="replace", null_replacement=empty
    )
    _, ends, texts = rows.buffers()
    end = np.frombuffer(ends, np.int32, len(rows) + 1)[-1]
    return bytes(memoryview(texts)[:end])
