"""The same day summed up by the database itself: window functions, one plain text.

It shares nothing with the kernel but the plan, which stands in two temporary
tables. Both databases read the same text.
"""

from dataclasses import fields
from decimal import Decimal

import numpy as np
from django.db import connection
from numpy.typing import NDArray

from husbandry.rules.conditions import (
    MISSING,
    NightConditions,
    NightPlan,
)
from husbandry.rules.conditions.values import BELIEVED_MILLI

Row = dict[str, int]

TABLES = (
    "CREATE TEMPORARY TABLE plan_piece (probe bigint, probe_id bigint, "
    "period integer, begins bigint, ends bigint, hold_s bigint)",
    "CREATE TEMPORARY TABLE plan_band (probe bigint, quantity integer, band integer, "
    "period integer, low bigint, high bigint, believed_low bigint, "
    "believed_high bigint)",
)

TEXT = """
WITH measured AS (
    SELECT probe_id, 0 AS quantity, at, temperature_milli_c AS value
    FROM husbandry_reading WHERE temperature_milli_c IS NOT NULL
    UNION ALL
    SELECT probe_id, 1, at, humidity_milli_pct
    FROM husbandry_reading WHERE humidity_milli_pct IS NOT NULL
    UNION ALL
    SELECT probe_id, 2, at, uv_index_milli
    FROM husbandry_reading WHERE uv_index_milli IS NOT NULL
),
followed AS (
    SELECT probe_id, quantity, at, value,
        lead(at) OVER (PARTITION BY probe_id, quantity ORDER BY at) AS next_at
    FROM measured
),
cut AS (
    SELECT p.probe, f.quantity, p.period, p.begins AS piece, f.value,
        CASE WHEN f.at > p.begins THEN f.at ELSE p.begins END AS begins,
        CASE WHEN f.next_at < f.at + p.hold_s AND f.next_at < p.ends THEN f.next_at
             WHEN f.at + p.hold_s < p.ends THEN f.at + p.hold_s
             ELSE p.ends END AS ends,
        CASE WHEN f.at >= p.begins THEN 1 ELSE 0 END AS of_piece
    FROM followed AS f JOIN plan_piece AS p ON p.probe_id = f.probe_id
    WHERE f.at < p.ends
),
held AS (
    SELECT c.*, b.band, b.low, b.high,
        c.ends - c.begins AS lasted,
        CASE WHEN c.value BETWEEN b.believed_low AND b.believed_high
             THEN 1 ELSE 0 END AS believed,
        CASE WHEN c.value < b.low THEN -1 WHEN c.value > b.high THEN 1 ELSE 0 END
            AS side
    FROM cut AS c JOIN plan_band AS b
        ON b.probe = c.probe AND b.quantity = c.quantity AND b.period = c.period
    WHERE c.begins < c.ends
),
valid AS (SELECT * FROM held WHERE believed = 1),
side_steps AS (
    SELECT *, CASE
        WHEN lag(ends) OVER piece = begins AND lag(side) OVER piece = side THEN 0
        ELSE 1 END AS step
    FROM valid WINDOW piece AS (
        PARTITION BY probe, quantity, band, period, piece ORDER BY begins)
),
side_runs AS (
    SELECT *, sum(step) OVER (
        PARTITION BY probe, quantity, band, period, piece ORDER BY begins) AS run
    FROM side_steps
),
spells AS (
    SELECT probe, quantity, band, period, side, min(begins) AS begins,
        max(ends) - min(begins) AS lasted
    FROM side_runs GROUP BY probe, quantity, band, period, piece, side, run
),
ranked AS (
    SELECT *, row_number() OVER (
        PARTITION BY probe, quantity, band, period, side
        ORDER BY lasted DESC, begins) AS place
    FROM spells
),
same_steps AS (
    SELECT *, CASE
        WHEN lag(ends) OVER day = begins AND lag(value) OVER day = value THEN 0
        ELSE 1 END AS step
    FROM valid WINDOW day AS (PARTITION BY probe, quantity, band ORDER BY begins)
),
same_runs AS (
    SELECT *, sum(step) OVER (
        PARTITION BY probe, quantity, band ORDER BY begins) AS run
    FROM same_steps
),
still AS (
    SELECT probe, quantity, band, min(begins) AS begins,
        max(ends) - min(begins) AS lasted, sum(of_piece) AS readings
    FROM same_runs GROUP BY probe, quantity, band, run
),
stuck AS (
    SELECT *, row_number() OVER (
        PARTITION BY probe, quantity, band ORDER BY lasted DESC, begins) AS place
    FROM still
),
summed AS (
    SELECT probe, quantity, band, period,
        sum(of_piece) AS readings,
        sum(CASE WHEN believed = 1 THEN lasted ELSE 0 END) AS covered_s,
        sum(CASE WHEN believed = 0 THEN lasted ELSE 0 END) AS impossible_s,
        sum(CASE WHEN believed = 1 THEN lasted * value ELSE 0 END) AS sum_milli_s,
        min(CASE WHEN believed = 1 THEN value END) AS lowest_milli,
        max(CASE WHEN believed = 1 THEN value END) AS highest_milli,
        sum(CASE WHEN believed = 1 AND side < 0 THEN lasted ELSE 0 END) AS below_s,
        sum(CASE WHEN believed = 1 AND side = 0 THEN lasted ELSE 0 END) AS inside_s,
        sum(CASE WHEN believed = 1 AND side > 0 THEN lasted ELSE 0 END) AS above_s,
        sum(CASE WHEN believed = 1 AND side < 0 THEN (low - value) * lasted
            ELSE 0 END) AS below_milli_s,
        sum(CASE WHEN believed = 1 AND side > 0 THEN (value - high) * lasted
            ELSE 0 END) AS above_milli_s
    FROM held GROUP BY probe, quantity, band, period
),
lengths AS (
    SELECT probe, period, sum(ends - begins) AS expected_s
    FROM plan_piece GROUP BY probe, period
)
SELECT b.probe, b.quantity, b.band, b.period,
    coalesce(s.readings, 0) AS readings, l.expected_s,
    coalesce(s.covered_s, 0) AS covered_s,
    coalesce(s.impossible_s, 0) AS impossible_s,
    coalesce(s.sum_milli_s, 0) AS sum_milli_s,
    s.lowest_milli,
    (SELECT min(v.begins) FROM valid AS v WHERE v.probe = b.probe
        AND v.quantity = b.quantity AND v.band = b.band AND v.period = b.period
        AND v.value = s.lowest_milli) AS lowest_at,
    s.highest_milli,
    (SELECT min(v.begins) FROM valid AS v WHERE v.probe = b.probe
        AND v.quantity = b.quantity AND v.band = b.band AND v.period = b.period
        AND v.value = s.highest_milli) AS highest_at,
    b.low AS low_milli, b.high AS high_milli,
    coalesce(s.below_s, 0) AS below_s, coalesce(s.inside_s, 0) AS inside_s,
    coalesce(s.above_s, 0) AS above_s,
    coalesce(under.lasted, 0) AS longest_below_s, under.begins AS longest_below_at,
    coalesce(over.lasted, 0) AS longest_above_s, over.begins AS longest_above_at,
    coalesce(s.below_milli_s, 0) AS below_milli_s,
    coalesce(s.above_milli_s, 0) AS above_milli_s,
    coalesce(stuck.lasted, 0) AS stuck_s, stuck.begins AS stuck_at,
    coalesce(stuck.readings, 0) AS stuck_readings
FROM plan_band AS b
JOIN lengths AS l ON l.probe = b.probe AND l.period = b.period
LEFT JOIN summed AS s ON s.probe = b.probe AND s.quantity = b.quantity
    AND s.band = b.band AND s.period = b.period
LEFT JOIN ranked AS under ON under.probe = b.probe AND under.quantity = b.quantity
    AND under.band = b.band AND under.period = b.period
    AND under.side = -1 AND under.place = 1
LEFT JOIN ranked AS over ON over.probe = b.probe AND over.quantity = b.quantity
    AND over.band = b.band AND over.period = b.period
    AND over.side = 1 AND over.place = 1
LEFT JOIN stuck ON stuck.probe = b.probe AND stuck.quantity = b.quantity
    AND stuck.band = b.band AND stuck.place = 1
ORDER BY b.probe, b.quantity, b.band, b.period
"""


def summed_in_sql(plan: NightPlan, probe_ids: NDArray[np.int64]) -> list[Row]:
    """Return the conditions of a plan's probes; MISSING where SQL says NULL."""
    with connection.cursor() as cursor:
        for table in TABLES:
            cursor.execute(table)
        cursor.executemany(
            "INSERT INTO plan_piece VALUES (%s, %s, %s, %s, %s, %s)",
            _pieces(plan, probe_ids),
        )
        cursor.executemany(
            "INSERT INTO plan_band VALUES (%s, %s, %s, %s, %s, %s, %s, %s)",
            _bands(plan),
        )
        cursor.execute(TEXT)
        names = [column[0] for column in cursor.description]
        found = [dict(zip(names, row, strict=True)) for row in cursor.fetchall()]
        for name in ("plan_piece", "plan_band"):
            cursor.execute(f"DROP TABLE {name}")
    return [
        {f.name: _integer(row[f.name]) for f in fields(NightConditions)}
        for row in found
    ]


def _integer(value: int | Decimal | None) -> int:
    return MISSING if value is None else int(value)


def _pieces(plan: NightPlan, probe_ids: NDArray[np.int64]) -> list[tuple[int, ...]]:
    found = []
    for probe, (start, on, off, end) in enumerate(plan.bounds.tolist()):
        for period, begins, ends in ((1, start, on), (0, on, off), (1, off, end)):
            hold_s = int(plan.hold_s[probe])
            found.append((probe, int(probe_ids[probe]), period, begins, ends, hold_s))
    return found


def _bands(plan: NightPlan) -> list[tuple[int | None, ...]]:
    bands = plan.bands
    return [
        (
            int(bands.probe[row]),
            int(bands.quantity[row]),
            int(bands.band[row]),
            period,
            *(
                None if limits[row, period] == MISSING else int(limits[row, period])
                for limits in (bands.low_milli, bands.high_milli)
            ),
            *BELIEVED_MILLI[int(bands.quantity[row])],
        )
        for row in range(len(bands))
        for period in range(2)
    ]
