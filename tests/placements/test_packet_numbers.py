"""Packet numbers under two threads at once: unique, and without a gap."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from pathlib import Path
from threading import Barrier

import pytest
from django.db import connection, connections

from placements.actions.packets import make_packet
from placements.models import Packet, Placement
from placements.rules.packets.numbering import first_number, series, version_number
from tests import factories

AT = datetime(2026, 3, 18, 15, 0, tzinfo=UTC)
EACH = 4


@pytest.mark.parametrize(
    ("taken", "number"),
    [(0, "P-2026-0001"), (41, "P-2026-0042"), (9999, "P-2026-10000")],
)
def test_first_number(taken: int, number: str) -> None:
    assert first_number(2026, taken) == number
    assert number.startswith(series(2026))
    assert version_number(number, 3) == f"{number}v3"


@pytest.fixture
def share_database(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Callable[[], None]:
    """Let threads meet in one database; SQLite's tests live in memory otherwise."""

    def share() -> None:
        if connection.vendor == "sqlite":
            path = str(tmp_path / "shared.sqlite3")
            with connection.cursor() as cursor:
                cursor.execute("VACUUM INTO %s", [path])
            monkeypatch.setitem(connections.settings["default"], "NAME", path)

    return share


def make(placements: list[Placement], start: Barrier) -> tuple[list[str], int]:
    try:
        start.wait(timeout=20)
        made = [make_packet(placement=p, by=None, at=AT).number for p in placements]
        start.wait(timeout=60)
        return made, Packet.objects.count()
    finally:
        connections.close_all()


def make_together(
    *halves: list[Placement],
) -> tuple[list[str], int]:
    """Make packets in as many threads as lists; return numbers and rows in the end."""
    start = Barrier(len(halves))
    with ThreadPoolExecutor(len(halves)) as pool:
        found = [pool.submit(make, half, start) for half in halves]
        results = [future.result(timeout=90) for future in found]
    return [n for made, _ in results for n in made], results[0][1]


@pytest.mark.django_db(transaction=True)
def test_two_threads_share_one_series(share_database: Callable[[], None]) -> None:
    placements = [factories.PlacementFactory() for _ in range(2 * EACH)]
    share_database()

    numbers, rows = make_together(placements[:EACH], placements[EACH:])

    assert sorted(numbers) == [f"P-2026-{n:04d}" for n in range(1, 2 * EACH + 1)]
    assert rows == 2 * EACH


@pytest.mark.django_db(transaction=True)
def test_two_threads_making_the_same_packet_make_one(
    share_database: Callable[[], None],
) -> None:
    placement = factories.PlacementFactory()
    twin = Placement.objects.get(pk=placement.pk)
    share_database()

    numbers, rows = make_together([placement], [twin])

    assert (numbers, rows) == (["P-2026-0001", "P-2026-0001"], 1)
