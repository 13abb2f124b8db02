"""Reading for minutes as if it were one instant, in nobody's way."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.db import connection, transaction

# Of a client that has stopped reading; its transaction would keep back the clean-up
# of rows that nobody else needs any more.
_LONGEST_PAUSE_MS = 15 * 60 * 1000
_AS_OF_NOW = "SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY"


@contextmanager
def snapshot() -> Iterator[None]:
    """See the database as it is at the first read, whatever is written meanwhile.

    Writers are not kept waiting: on SQLite no lock for writing is taken, although
    every other transaction here begins with it. Within a transaction that is open
    already, that one says what is seen.
    """
    if connection.in_atomic_block:
        yield
    elif connection.vendor == "postgresql":
        with transaction.atomic():
            with connection.cursor() as cursor:
                cursor.execute(_AS_OF_NOW)
                cursor.execute(
                    "SET LOCAL idle_in_transaction_session_timeout = %s",
                    [_LONGEST_PAUSE_MS],
                )
            yield
    else:
        with _without_write_lock(), transaction.atomic():
            yield


@contextmanager
def _without_write_lock() -> Iterator[None]:
    connection.ensure_connection()  # which reads the mode from the settings
    sqlite: Any = connection  # only its wrapper has one
    usual = sqlite.transaction_mode
    sqlite.transaction_mode = "DEFERRED"
    try:
        yield
    finally:
        sqlite.transaction_mode = usual
