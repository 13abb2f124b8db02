"""Readings and probes for the tests of the rules about them."""

import numpy as np

from husbandry.rules.loggers.vocabulary import MISSING
from husbandry.rules.readings import (
    ProbesInUse,
    ReadingColumns,
)

START, END, LATEST = 1_772_409_600, 1_772_496_000, 1_772_490_000
OPEN = np.iinfo(np.int64).max
# 7 measures temperature only and is retired; 9 measures all and is in use.
PROBES = ProbesInUse(
    ids=np.array([7, 9]),
    from_s=np.array([START, START]),
    until_s=np.array([END, OPEN]),
    hold_s=np.array([900, 900]),
    measures=(
        np.array([True, True]),
        np.array([False, True]),
        np.array([False, True]),
    ),
    site_ids=np.array([1, 1]),
)
NO_PROBES = ProbesInUse(
    ids=np.empty(0, np.int64),
    from_s=np.empty(0, np.int64),
    until_s=np.empty(0, np.int64),
    hold_s=np.empty(0, np.int64),
    measures=(np.empty(0, np.bool_),) * 3,
    site_ids=np.empty(0, np.int64),
)
Row = tuple[int, int, int | None, int | None, int | None]


def columns(*rows: Row) -> ReadingColumns:
    filled = [[MISSING if v is None else v for v in row] for row in rows]
    table = np.array(filled, dtype=np.int64).reshape(-1, 5)
    return ReadingColumns.of(
        probe_ids=table[:, 0],
        at=table[:, 1],
        temperature=table[:, 2],
        humidity=table[:, 3],
        uv_index=table[:, 4],
    )


def rows_of(readings: ReadingColumns) -> list[tuple[int, ...]]:
    parts = (readings.probe_ids, readings.at, *readings.values())
    return [tuple(row) for row in np.column_stack(parts).tolist()]
