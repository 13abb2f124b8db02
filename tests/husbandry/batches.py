"""Batches of readings for the tests of storing them."""

from datetime import UTC, date, datetime
from typing import Any

import numpy as np

from husbandry.actions import readings as actions
from husbandry.actions.readings import store_readings
from husbandry.models import Probe, Reading
from husbandry.rules.reading_reports import StoreReport
from husbandry.rules.readings import ReadingColumns
from tests.factories import ReviewRunFactory

NOW = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
NOW_S = int(NOW.timestamp())


def batch(probe: Probe, *rows: tuple[int, int, int]) -> ReadingColumns:
    """Make readings of (seconds before now, temperature, humidity)."""
    table = np.array(rows, dtype=np.int64).reshape(-1, 3)
    return ReadingColumns.of(
        probe_ids=np.full(len(rows), probe.pk),
        at=NOW_S - table[:, 0],
        temperature=table[:, 1],
        humidity=table[:, 2],
    )


def store(columns: ReadingColumns, *, at: datetime = NOW) -> StoreReport:
    return store_readings(columns=columns, by=None, at=at)


def stored() -> list[tuple[int, int | None, int | None]]:
    """Return (seconds before now, temperature, humidity), newest first."""
    rows = Reading.objects.order_by("probe_id", "-at").values_list(
        "at", "temperature_milli_c", "humidity_milli_pct"
    )
    return [(NOW_S - at, temperature, humidity) for at, temperature, humidity in rows]


def counts(report: StoreReport) -> dict[str, int]:
    return {name: n for name, n in actions.counts(report).items() if n}


def night_of(probe: Probe, on: date, **how: Any) -> Any:
    return ReviewRunFactory(site=probe.enclosure.room.site, on=on, **how)
