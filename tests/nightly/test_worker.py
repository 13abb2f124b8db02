"""A real worker, a real broker: the night happens without anybody's hand."""

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

import psycopg
import pytest
from django.conf import settings
from django.db import connection

PATIENCE_S = 60
SEED = """
import django; django.setup()
from datetime import timedelta
from django.utils.timezone import now
from tests.factories import EnclosureFactory, StayFactory
StayFactory.create(from_at=now() - timedelta(days=3))
"""
COUNT = """
import django; django.setup()
from husbandry.models import ReviewRun
print(ReviewRun.objects.filter(state="done").count())
"""


@contextmanager
def postgresql_scratch() -> Iterator[str]:
    """A database of its own on the server that the lane uses."""
    given = connection.settings_dict
    name = f"spurbook_worker_{os.getpid()}"
    with psycopg.connect(
        host=given["HOST"] or None,
        port=given["PORT"] or None,
        user=given["USER"] or None,
        password=given["PASSWORD"] or None,
        dbname="postgres",
        autocommit=True,
    ) as server:
        server.execute(f'CREATE DATABASE "{name}"')
        try:
            yield (
                f"postgres://{quote(given['USER'], safe='')}:"
                f"{quote(given['PASSWORD'], safe='')}@:{given['PORT'] or 5432}/{name}"
                f"?host={quote(given['HOST'], safe='/')}"
            )
        finally:
            server.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


@pytest.fixture
def database_url(tmp_path: Path) -> Iterator[str]:
    if connection.vendor == "postgresql":
        with postgresql_scratch() as url:
            yield url
    else:
        yield f"sqlite:///{quote(str(tmp_path / 'worker.sqlite3'))}"


def run(*words: str, env: dict[str, str]) -> str:
    done = subprocess.run(
        [sys.executable, *words],
        cwd=settings.BASE_DIR,
        env=env,
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


@contextmanager
def worker(env: dict[str, str], log: Path) -> Iterator[subprocess.Popen[bytes]]:
    with log.open("wb") as out:
        process = subprocess.Popen(
            [sys.executable, "-m", "celery", "-A", "config", "worker", "-c1", "-lINFO"],
            cwd=settings.BASE_DIR,
            env=env,
            stdout=out,
            stderr=out,
        )
    try:
        yield process
    finally:
        process.terminate()
        process.wait(timeout=PATIENCE_S)


def test_a_worker_reviews_the_nights_that_are_due(
    redis_url: str, database_url: str, tmp_path: Path
) -> None:
    env = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "config.settings",
        "DATABASE_URL": database_url,
        "REDIS_URL": redis_url,
        "SPURBOOK_DATA": str(tmp_path / "data"),
    }
    run("manage.py", "migrate", "-v", "0", env=env)
    run("-c", SEED, env=env)
    log = tmp_path / "worker.log"

    with worker(env, log):
        run(
            *("-m", "celery", "-A", "config", "call"),
            "husbandry.tasks.nightly_review",
            env=env,
        )
        deadline = time.monotonic() + PATIENCE_S
        while (done := run("-c", COUNT, env=env)) != "3":
            assert time.monotonic() < deadline, f"{done} reviewed; {log.read_text()}"
            time.sleep(0.5)

    assert "succeeded" in log.read_text()
