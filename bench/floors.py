"""Floors: the least that any program could need for a work, on each database."""

from collections.abc import Callable

from django.db import connection

from bench.herd import DAY_S, HOLD_S, START_S

WINDOW = f"at > {START_S - HOLD_S} AND at < {START_S + DAY_S}"


def copy_out(select: str) -> Callable[[], None]:
    """Return a work that has PostgreSQL hand out rows and throws them away."""
    statement = f"COPY ({select}) TO STDOUT (FORMAT BINARY)".encode()

    def drain() -> None:
        connection.ensure_connection()
        server = connection.connection.pgconn
        server.exec_(statement)
        next_row, length = server.get_copy_data, 0
        while length >= 0:
            length, _ = next_row(0)
        while server.get_result() is not None:
            pass

    return drain


def day_out() -> Callable[[], None]:
    """Return the floor of reading the measured day from its own table."""
    return copy_out(
        "SELECT probe_id, at, temperature_milli_c, humidity_milli_pct, "
        f"uv_index_milli FROM husbandry_reading WHERE {WINDOW}"
    )


def narrow_day_out() -> Callable[[], None]:
    """Store the measured day with one value a row; return the floor of reading it."""
    with connection.cursor() as cursor:
        cursor.execute(
            "CREATE UNLOGGED TABLE bench_narrow AS "
            "SELECT probe_id, at, quantity::smallint, value FROM husbandry_reading, "
            "LATERAL (VALUES (1, temperature_milli_c), (2, humidity_milli_pct), "
            "(3, uv_index_milli)) AS one (quantity, value) "
            f"WHERE value IS NOT NULL AND {WINDOW}"
        )
        cursor.execute("VACUUM ANALYZE bench_narrow")
    return copy_out("SELECT probe_id, at, quantity, value FROM bench_narrow")


def day_summed() -> Callable[[], None]:
    """Return a work in which SQLite itself sums the measured day, in one row."""

    def add() -> None:
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT sum(temperature_milli_c), sum(humidity_milli_pct), "
                "sum(uv_index_milli), count(*) FROM husbandry_probe AS probe "
                "CROSS JOIN husbandry_reading AS reading "
                f"WHERE reading.probe_id = probe.id AND {WINDOW}"
            )
            cursor.fetchall()

    return add
