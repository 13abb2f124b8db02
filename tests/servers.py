"""PostgreSQL and Redis for a test session; a pytest plugin with its fixtures.

The servers are hosted by a process of their own (`tests/server_host.py`), which
stops them when this one lets go of it or dies.
"""

import contextlib
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.server_host import VARIABLE, ServerError

ROOT = Path(__file__).resolve().parent.parent


@contextlib.contextmanager
def hosted(kind: str) -> Iterator[tuple[str, subprocess.Popen[str]]]:
    """Host one server; yield its address and the process that hosts it."""
    host = subprocess.Popen(
        [sys.executable, "-m", "tests.server_host", kind],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        # Ctrl-C belongs to the tests; they let go of the host when they end.
        start_new_session=True,
    )
    with host:
        assert host.stdout is not None
        assert host.stderr is not None
        name, _, url = host.stdout.readline().strip().partition("=")
        if name != VARIABLE[kind]:
            raise ServerError(host.stderr.read())
        yield url, host


@contextlib.contextmanager
def postgres() -> Iterator[str]:
    """Start PostgreSQL; yield an address for DATABASE_URL."""
    with hosted("postgres") as (url, _):
        yield url


@contextlib.contextmanager
def redis() -> Iterator[str]:
    """Start Redis; yield an address for REDIS_URL."""
    with hosted("redis") as (url, _):
        yield url


@pytest.fixture(scope="session")
def redis_url() -> Iterator[str]:
    """Give the session's Redis; start one where the environment names none."""
    given = os.environ.get("REDIS_URL")
    if given:
        yield given
        return
    with redis() as url:
        yield url
