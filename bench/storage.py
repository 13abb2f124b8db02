"""How much room readings take, with all their indexes."""

from collections.abc import Iterator
from pathlib import Path

from django.db import connection

from bench.frame import Figure, progress
from bench.herd import load, stock
from bench.scratch import scratch_database
from husbandry.models import Reading

ENCLOSURES = 500
# A row costs much the same whatever it holds: four bytes a value beside some ninety
# of row and key. So the goal is by the row (ADR 0002).
GOALS_BYTES = {"postgresql": 100, "sqlite": 25}


def figures(*, size: int | None) -> Iterator[Figure]:
    """Measure the bytes that each row takes after two days of readings."""
    with scratch_database():
        herd = stock(size or ENCLOSURES)
        before = _bytes()
        progress(f"storing two days of {herd.enclosures:,} enclosures")
        load(herd, days_before=0.5, days_after=0.5)
        rows, goal = Reading.objects.count(), GOALS_BYTES[connection.vendor]
        row_bytes = (_bytes() - before) / rows
        yield Figure(
            f"storage: each of {rows:,} rows, indexes included",
            row_bytes, goal, 1.0, "what it may take", unit="B",
        )  # fmt: skip
        yield Figure(
            "storage: each value, two a row",
            row_bytes / 2, goal / 4, None, "with four a row", unit="B",
        )  # fmt: skip


def _bytes() -> int:
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SELECT pg_total_relation_size('husbandry_reading')")
            return int(cursor.fetchone()[0])
        # What was just written may still be in the log beside the file.
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return Path(connection.settings_dict["NAME"]).stat().st_size
