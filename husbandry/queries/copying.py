"""Rows out of PostgreSQL by binary COPY, straight into arrays."""

from collections.abc import Iterator
from itertools import repeat

import numpy as np
from django.db import connection
from numpy.typing import NDArray
from psycopg.errors import error_from_result
from psycopg.pq import ExecStatus
from psycopg.pq.abc import PGconn

HEADER_BYTES = 19  # signature, flags and length of the extension, before the rows
CHUNK_ROWS = 2**14


def row_type(columns: dict[str, str]) -> np.dtype[np.void]:
    """Return how a row without NULLs looks in PostgreSQL's binary COPY format.

    Args:
        columns: names and big-endian numpy types, in the order of the SELECT.
    """
    fields = [("number of fields", ">i2")]
    for name, kind in columns.items():
        fields += [(f"length of {name}", ">i4"), (name, kind)]
    return np.dtype(fields)


def copied_out(sql: str, row: np.dtype[np.void]) -> Iterator[NDArray[np.void]]:
    """Yield the rows of a SELECT in chunks while they arrive.

    psycopg's own iteration wraps every row in Python objects, which takes many
    times as long as the server needs; here libpq's rows are gathered as they are.

    Args:
        sql: a SELECT whose columns have fixed lengths and no NULL. COPY takes no
            parameters: it must hold nothing but what this program wrote itself.
        row: its row, from `row_type`.

    Raises:
        django.db.Error: what the server says.
    """
    connection.ensure_connection()
    server = connection.connection.pgconn
    with connection.wrap_database_errors:
        result = server.exec_(f"COPY ({sql}) TO STDOUT (FORMAT BINARY)".encode())
        if result.status != ExecStatus.COPY_OUT:
            raise error_from_result(result)
        finished = False
        try:
            yield from _chunks(server, row)
            finished = True
        finally:
            if not finished:  # what is left of the rows would be taken for answers
                connection.close()
        # All answers are taken before any is complained of; else the connection
        # would still be waiting and could not be rolled back.
        for result in list(iter(server.get_result, None)):
            if result.status != ExecStatus.COMMAND_OK:
                raise error_from_result(result)


def _chunks(server: PGconn, row: np.dtype[np.void]) -> Iterator[NDArray[np.void]]:
    next_row, offset, length = server.get_copy_data, HEADER_BYTES, 0
    while length >= 0:
        chunk = bytearray()
        for _ in repeat(None, CHUNK_ROWS):
            length, data = next_row(0)
            if length < 0:
                break
            chunk += data
        # Rows come whole; the last chunk ends with two bytes that are none.
        count = (len(chunk) - offset) // row.itemsize
        if count > 0:
            yield np.frombuffer(chunk, row, count=count, offset=offset)
        offset = 0
