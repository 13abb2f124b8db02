"""Write what a night's readings add up to, in place of what was written before."""

import json
from collections.abc import Sequence
from datetime import date

import numpy as np
from django.db import connection
from django.db.transaction import TransactionManagementError
from numpy.typing import NDArray

from husbandry.actions.copying import Column, copy_in
from husbandry.rules.conditions import MISSING, PERIODS, QUANTITIES, NightConditions

TABLE = "husbandry_conditions"
POSTGRESQL_EPOCH = date(2000, 1, 1)
MILLI = 1_000
MILLI_MINUTE = 60_000


def write_conditions(
    night: NightConditions, *, on: date, probe_ids: NDArray[np.int64]
) -> None:
    """Replace the conditions of some probes on one local day.

    Writes no audit entry: it is a part of the review, which writes one.

    Args:
        night: what was summed up, numbered by place in `probe_ids`.
        on: the local day.
        probe_ids: primary keys; conditions of these probes on that day go, also
            where nothing new is written for them.

    Raises:
        TransactionManagementError: called outside a transaction, where a failure
            would leave the day half-written.
    """
    if not connection.in_atomic_block:
        raise TransactionManagementError(
            "write_conditions deletes and inserts: call it inside "
            "transaction.atomic(), so that a night is never half-written."
        )
    columns = columns_of(night, on, probe_ids)
    if connection.vendor == "postgresql":
        _delete(on, "= ANY(%s)", probe_ids.tolist())
        copy_in(TABLE, columns)
    else:
        _delete(on, "IN (SELECT value FROM json_each(%s))", _as_json(probe_ids))
        _insert(columns, on)


def _as_json(numbers: NDArray[np.int64]) -> str:
    return json.dumps(numbers.tolist())


def _delete(on: date, which: str, probe_ids: list[int] | str) -> None:
    with connection.cursor() as cursor:
        cursor.execute(
            f'DELETE FROM {TABLE} WHERE "on" = %s AND probe_id {which}',  # noqa: S608 - constants only
            [on, probe_ids],
        )


def columns_of(
    night: NightConditions, on: date, probe_ids: NDArray[np.int64]
) -> tuple[Column, ...]:
    """Return conditions as the columns of their table.

    Args:
        night: what was summed up, numbered by place in `probe_ids`.
        on: the local day.
        probe_ids: primary keys.

    Returns:
        A column for each field: thousandths become units, thousandths × seconds
        become units × minutes, and what does not exist is empty.
    """
    day = np.full(len(night), (on - POSTGRESQL_EPOCH).days)
    bare = night.covered_s == 0
    open_low, open_high = night.low_milli == MISSING, night.high_milli == MISSING
    return (
        Column("probe_id", ">i8", probe_ids[night.probe]),
        Column("on", ">i4", day),
        Column("period", "S", night.period, words=tuple(PERIODS)),
        Column("quantity", "S", night.quantity, words=tuple(QUANTITIES)),
        Column("band", ">i2", night.band),
        Column("readings", ">i4", night.readings),
        Column("expected_s", ">i4", night.expected_s),
        Column("covered_s", ">i4", night.covered_s),
        Column("impossible_s", ">i4", night.impossible_s),
        Column("mean", ">f8", night.mean(), empty=bare),
        Column("lowest", ">f8", night.lowest_milli / MILLI, empty=bare),
        Column("highest", ">f8", night.highest_milli / MILLI, empty=bare),
        Column("low", ">f8", night.low_milli / MILLI, empty=open_low),
        Column("high", ">f8", night.high_milli / MILLI, empty=open_high),
        Column("below_s", ">i4", night.below_s),
        Column("above_s", ">i4", night.above_s),
        Column("longest_below_s", ">i4", night.longest_below_s),
        Column("longest_above_s", ">i4", night.longest_above_s),
        Column("below_unit_minutes", ">f8", night.below_milli_s / MILLI_MINUTE),
        Column("above_unit_minutes", ">f8", night.above_milli_s / MILLI_MINUTE),
    )


def _insert(columns: Sequence[Column], on: date) -> None:
    names = ", ".join(f'"{column.name}"' for column in columns)
    marks = ", ".join(["%s"] * len(columns))
    lists = [
        [on] * len(column.values) if column.name == "on" else _values(column)
        for column in columns
    ]
    with connection.cursor() as cursor:
        cursor.executemany(
            f"INSERT INTO {TABLE} ({names}) VALUES ({marks})",  # noqa: S608 - constants only
            list(zip(*lists, strict=True)),
        )


def _values(column: Column) -> list[object]:
    """Return a column as Python values: words for their numbers, None for empty."""
    values: list[object] = column.values.tolist()
    if column.words:
        return [column.words[number] for number in column.values]
    if column.empty is None:
        return values
    return [None if e else v for e, v in zip(column.empty, values, strict=True)]
