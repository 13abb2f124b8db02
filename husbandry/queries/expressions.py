"""Instants and masses as whole numbers, for lists of hundreds of thousands of rows.

Turning a timestamp or an exact decimal of the database into Python's takes several
times as long as reading the row; whole numbers come as they are.
"""

from datetime import UTC, datetime
from decimal import Decimal
from functools import lru_cache
from typing import Any

from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import BigIntegerField, Func
from django.db.models.sql.compiler import SQLCompiler

MICROSECONDS = 1_000_000
Sql = tuple[str, tuple[str | int, ...]]


class EpochMicroseconds(Func):
    """An instant as microseconds since 1970, exactly."""

    arity = 1
    output_field = BigIntegerField()
    template = "CAST(EXTRACT(EPOCH FROM %(expressions)s) * 1000000 AS bigint)"

    def as_sqlite(
        self, compiler: SQLCompiler, connection: BaseDatabaseWrapper, **extra: Any
    ) -> Sql:
        """Read the text that Django writes: in UTC, with six decimals or none."""
        return self.as_sql(
            compiler,
            connection,
            # Without the decimals, which SQLite would round.
            template="(1000000 * CAST("
            "strftime('%%%%s', substr(%(expressions)s, 1, 19)) AS INTEGER) + "
            "CAST(substr(%(expressions)s, 21, 6) AS INTEGER))",
            **extra,
        )


class Hundredths(Func):
    """A number with two decimals, such as a mass in grams, times a hundred."""

    arity = 1
    output_field = BigIntegerField()
    # SQLite stores a decimal as the nearest binary fraction: rounding mends it.
    template = "CAST(ROUND(%(expressions)s * 100) AS bigint)"


def instant_of(microseconds: int) -> datetime:
    """Return the instant, in UTC, that so many microseconds since 1970 are."""
    return datetime.fromtimestamp(microseconds / MICROSECONDS, UTC)


@lru_cache(maxsize=2**16)
def decimal_of(hundredths: int) -> Decimal:
    """Return a number with two decimals from its hundredths: 2390 is 23.90."""
    return Decimal(hundredths).scaleb(-2)
