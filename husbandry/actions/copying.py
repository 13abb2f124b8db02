"""Rows into PostgreSQL by binary COPY, straight from arrays."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from django.db import connection
from numpy.typing import NDArray

HEADER = b"PGCOPY\n\xff\r\n\0" + bytes(8)
TRAILER = b"\xff\xff"


@dataclass(frozen=True, slots=True)
class Column:
    """One column of rows to be written.

    Attributes:
        name: as the table calls it.
        kind: big-endian numpy type of what PostgreSQL stores; `S`: text.
        values: one for each row; for text, indexes into `words`.
        words: what the indexes of a text column stand for.
        empty: which rows have no value; None: all have one.
    """

    name: str
    kind: str
    values: NDArray[Any]
    words: tuple[str, ...] = ()
    empty: NDArray[np.bool_] | None = None


def copy_in(table: str, columns: Sequence[Column]) -> None:
    """Append rows to a table; on PostgreSQL only.

    Args:
        table: its name in the database, never anything from outside.
        columns: all of the same length.

    Raises:
        django.db.Error: what the server says.
    """
    names = ", ".join(f'"{column.name}"' for column in columns)
    statement = f'COPY "{table}" ({names}) FROM STDIN (FORMAT BINARY)'
    with (
        connection.wrap_database_errors,
        connection.cursor() as cursor,
        cursor.copy(statement) as copy,
    ):
        copy.write(HEADER)
        for rows in _rows(columns):
            copy.write(rows)
        copy.write(TRAILER)


def _rows(columns: Sequence[Column]) -> Iterator[bytes]:
    """Yield rows of one layout at a time: the same words and the same empty fields.

    Only texts and empty fields make rows differ in length, and few combinations
    of them occur, so each is one array.
    """
    layouts = np.zeros(len(columns[0].values), np.int64)
    for column in columns:
        if column.words:
            layouts = layouts * len(column.words) + column.values
        if column.empty is not None:
            layouts = layouts * 2 + column.empty
    _, first, layout = np.unique(layouts, return_index=True, return_inverse=True)
    for number, example in enumerate(first):
        yield _alike(columns, np.flatnonzero(layout == number), int(example))


def _alike(columns: Sequence[Column], rows: NDArray[np.int64], example: int) -> bytes:
    """Return rows that have the layout of an example row."""
    fields: list[tuple[str, str]] = [("number of fields", ">i2")]
    constants: dict[str, Any] = {"number of fields": len(columns)}
    values: dict[str, NDArray[Any]] = {}
    for column in columns:
        length = f"length of {column.name}"
        fields.append((length, ">i4"))
        if column.empty is not None and column.empty[example]:
            constants[length] = -1
        elif column.words:
            word = column.words[column.values[example]].encode()
            fields.append((column.name, f"S{len(word)}"))
            constants |= {length: len(word), column.name: word}
        else:
            fields.append((column.name, column.kind))
            constants[length] = np.dtype(column.kind).itemsize
            values[column.name] = column.values[rows]
    written = np.empty(len(rows), np.dtype(fields))
    for name, value in (constants | values).items():
        written[name] = value
    return written.tobytes()
