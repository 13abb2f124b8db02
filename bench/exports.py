"""Exports of readings: beside the database's own copy, and in constant memory.

The floor on PostgreSQL is `COPY … TO STDOUT (FORMAT csv)` of the same rows, thrown
away; it sorts nothing and writes raw numbers. SQLite has no such statement: there it
is reading the same rows and nothing else.
"""

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from urllib.parse import quote, urlsplit

from django.db import connection

from bench.frame import Figure, fastest, progress
from bench.herd import load, stock
from bench.scratch import scratch_database
from core.exports.forms import FORMS, Form, table_chunks
from husbandry.models import Reading
from husbandry.queries.exported_readings import readings_exported, stretch_of

ENCLOSURES = 500
SMALL_DAYS, LARGE_DAYS = 0.35, 7.0
REPEATS = 3
END_S = 2**33
# How much more than the floor a form may take; Parquet compresses as well.
GOALS = {"csv": 4.0, "ndjson": 4.0, "parquet": 2.5}
CONSTANT = 1.25
COLUMNS = "at, probe_id, temperature_milli_c, humidity_milli_pct, uv_index_milli"
ROOT = Path(__file__).resolve().parent.parent


def figures(*, size: int | None) -> Iterator[Figure]:
    """Measure exports of about 100,000 readings and of two million; `size`: enclosures."""
    with scratch_database():
        herd = stock(size or ENCLOSURES)
        progress(f"storing {SMALL_DAYS:g} days of {herd.enclosures:,} enclosures")
        load(herd, days_before=0, days_after=SMALL_DAYS - 1)
        small = {form.name: _peak_mb(form) for form in FORMS}
        progress(f"storing {LARGE_DAYS:g} days")
        load(herd, days_before=-SMALL_DAYS, days_after=LARGE_DAYS - 1)
        rows = Reading.objects.count()
        yield from _speeds(rows)
        yield from _memory(rows, small)


def _speeds(rows: int) -> Iterator[Figure]:
    floor = fastest(_floor(), repeats=REPEATS)
    beneath = "COPY as CSV" if connection.vendor == "postgresql" else "reading alone"
    for form in FORMS:
        progress(f"exporting {rows:,} readings as {form.name}")
        goal = GOALS[form.name] if connection.vendor == "postgresql" else None
        yield Figure(
            f"exports: {rows:,} readings as {form.name}",
            fastest(partial(drain, form), repeats=REPEATS),
            floor, goal, beneath,
        )  # fmt: skip


def _memory(rows: int, small: dict[str, float]) -> Iterator[Figure]:
    for form in FORMS:
        yield Figure(
            f"exports: most memory for {rows:,} as {form.name}",
            _peak_mb(form), small[form.name], CONSTANT,
            "the same program, a twentieth of the rows", unit="MB",
        )  # fmt: skip


def _floor() -> Callable[[], object]:
    if connection.vendor == "postgresql":
        return _copied
    return _read


def _copied() -> None:
    connection.ensure_connection()
    server = connection.connection.pgconn
    rows = f"SELECT {COLUMNS} FROM husbandry_reading"
    server.exec_(f"COPY ({rows}) TO STDOUT (FORMAT csv)".encode())
    length = 0
    while length >= 0:
        length, _ = server.get_copy_data(0)
    while server.get_result() is not None:
        pass


def _read() -> None:
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {COLUMNS} FROM husbandry_reading")
        while cursor.fetchmany(10_000):
            pass


def drain(form: Form) -> None:
    """Export all readings and throw them away."""
    readings = readings_exported(lambda: (stretch_of(from_s=0, until_s=END_S),))
    for _ in table_chunks(readings, form=form):
        pass


def _peak_mb(form: Form) -> float:
    """Return the most memory of a process that makes one export and nothing else."""
    command = [sys.executable, "-m", "bench.exports_memory", form.name]
    environment = {**os.environ, "DATABASE_URL": _scratch_url()}
    done = subprocess.run(
        command, cwd=ROOT, env=environment, check=True, capture_output=True
    )
    return float(done.stdout)


def _scratch_url() -> str:
    name = str(connection.settings_dict["NAME"])
    if connection.vendor == "postgresql":
        return urlsplit(os.environ["DATABASE_URL"])._replace(path=f"/{name}").geturl()
    return f"sqlite:///{quote(name)}"
