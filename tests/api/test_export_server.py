"""Exports over the web server that serves them, on a database beside the tests' own."""

import http.client
import os
import socket
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.conf import settings
from django.db import connection

from core.roles import Role
from core.tokens import issue_token
from tests.factories import ProbeFactory, UserFactory

ROWS = 150_000
PATIENCE_S = 120
ADDRESS = "/api/v1/exports/readings/ndjson/"
_NUMBERED = {
    "postgresql": "SELECT n FROM generate_series(0, %s) AS n",
    "sqlite": "WITH RECURSIVE some(n) AS (SELECT 0 UNION ALL SELECT n + 1 FROM some "
    "WHERE n < %s) SELECT n FROM some",
}


@dataclass(frozen=True)
class Served:
    """A running server and the database behind it."""

    port: int
    token: str
    file: Path | None

    def asked(self) -> tuple[http.client.HTTPConnection, http.client.HTTPResponse]:
        """Ask for all readings, and take no more at once than has been read."""
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_S)
        link.sock = socket.socket()
        link.sock.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 2**14)
        link.sock.settimeout(PATIENCE_S)
        link.sock.connect(("127.0.0.1", self.port))
        link.request("GET", ADDRESS, headers={"Authorization": f"Bearer {self.token}"})
        return link, link.getresponse()

    def written(self, at: int) -> None:
        """Store one reading more, as another process does."""
        statement = (
            "INSERT INTO husbandry_reading (probe_id, at) "
            f"SELECT id, {at:d} FROM husbandry_probe"
        )
        if self.file is None:
            with connection.cursor() as cursor:
                cursor.execute(statement)
        else:
            with sqlite3.connect(self.file, timeout=1) as other:
                other.execute(statement)

    def snapshots(self) -> int:
        """How many others are reading as of an instant that is over."""
        if self.file is None:
            with connection.cursor() as cursor:
                cursor.execute(
                    "SELECT count(*) FROM pg_stat_activity WHERE backend_xmin IS NOT "
                    "NULL AND datname = current_database() AND pid <> pg_backend_pid() "
                    "AND backend_type = 'client backend'"
                )
                return int(cursor.fetchone()[0])
        with sqlite3.connect(self.file, timeout=0.1) as other:
            busy, *_ = other.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
            return int(busy)


@pytest.fixture
def served(transactional_db: None, tmp_path: Path) -> Iterator[Served]:
    probe = ProbeFactory(code="P-1")
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO husbandry_reading (probe_id, at, temperature_milli_c) SELECT "
            f"{probe.pk:d}, 1772000000 + n, 20000 + n / 100 "
            f"FROM ({_NUMBERED[connection.vendor]}) AS numbered",
            [ROWS - 1],
        )
    user = UserFactory(role=Role.VIEWER.value)
    token = issue_token(user=user, name="reader", by=None, at=datetime.now(UTC))
    url, file = _database(tmp_path)
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "gunicorn", "tests.api.hurried_site"]
    command += ["--no-control-socket", "--bind", f"127.0.0.1:{port}", "--threads", "4"]
    environment = {
        **os.environ,
        "DATABASE_URL": url,
        "SPURBOOK_DATA": str(tmp_path),
        "REDIS_URL": "",
        "SPURBOOK_HOSTS": "127.0.0.1",
    }
    with subprocess.Popen(command, cwd=settings.BASE_DIR, env=environment) as server:
        try:
            _until(lambda: _answers(port))
            yield Served(port, token.text, file)
        finally:
            server.terminate()


def _database(folder: Path) -> tuple[str, Path | None]:
    if connection.vendor == "postgresql":
        parts = urlsplit(os.environ["DATABASE_URL"])
        name = connection.settings_dict["NAME"]
        return parts._replace(path=f"/{name}").geturl(), None
    file = folder / "served.sqlite3"
    with sqlite3.connect(file) as copy:
        connection.connection.backup(copy)
    return f"sqlite:///{file}", file


def _answers(port: int) -> bool:
    try:
        socket.create_connection(("127.0.0.1", port), timeout=1).close()
    except OSError:
        return False
    return True


def _until(holds: Callable[[], Any]) -> None:
    until_s = time.monotonic() + PATIENCE_S
    while not holds():
        assert time.monotonic() < until_s
        time.sleep(0.05)


def test_an_export_is_sent_whole_or_breaks_off(served: Served) -> None:
    link, answer = served.asked()
    data = answer.read()
    link.close()
    assert answer.status == 200
    assert answer.headers["Transfer-Encoding"] == "chunked"
    assert answer.headers["ETag"] is None
    assert data.count(b"\n") == ROWS
    assert data.endswith(b"}\n")

    link, answer = served.asked()
    begun = answer.read(2**16)
    time.sleep(5)  # longer than it may take; see hurried_site
    with pytest.raises((http.client.IncompleteRead, ConnectionError)):
        # RFC 9112, section 8: without its last chunk a message is incomplete.
        begun += answer.read()
    link.close()
    assert begun.count(b"\n") < ROWS
    _until(lambda: served.snapshots() == 0)


def test_a_client_that_goes_away_frees_what_it_held(served: Served) -> None:
    link, answer = served.asked()
    begun = answer.read(2**16)

    served.written(1_780_000_000)  # nobody has to wait for the export
    assert served.snapshots() == 1

    link.sock.close()
    answer.close()
    link.close()
    _until(lambda: served.snapshots() == 0)
    served.written(1_780_000_001)
    assert begun
