"""Many programs at once on the machines' door, as in a house with hubs and scripts.

A real server of two processes on the loopback address, a dozen clients with tokens of
their own, for a bounded time: they read lists, post readings, record weighings and
send some of it again, as a hub does that missed an answer. Whatever was answered as
stored must be there afterwards, once; an answer of 5xx, or none, is a failure of the
benchmark and not a figure of it.
"""

import contextlib
import http.client
import json
import os
import socket
import subprocess
import sys
import threading
import time
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from http import HTTPStatus
from random import Random
from statistics import quantiles
from typing import Any
from urllib.parse import quote

from django.conf import settings
from django.db import connection
from django.utils import timezone

from bench.frame import Figure, progress
from bench.herd import stock
from bench.residents import settle
from bench.scratch import scratch_database
from core.models import User
from core.roles import Role, TokenScope
from core.tokens import issue_token
from husbandry.models import Animal, Probe, Reading, Weighing

CLIENTS, LASTS_S, MOST_REQUESTS = 12, 20.0, 3_000
ANIMALS, BATCH, WARM, PATIENCE_S = 200, 50, 40, 120
READ, POST, WEIGH, AGAIN = "read", "post readings", "weigh", "send again"
MIX = (READ,) * 11 + (POST,) * 4 + (WEIGH,) * 4 + (AGAIN,)
LISTS = (
    "animals/?page_size=50",
    "findings/?open=true",
    "review-runs/?page_size=5",
    "probes/?page_size=50",
)


@dataclass
class Client:
    """One program: its token, its own probe and animals, and what it was answered."""

    token: str
    probe: str
    animals: list[str]
    random: Random
    port: int
    next_s: int
    taken_ms: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    failures: list[str] = field(default_factory=list)
    stored: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    last: tuple[str, str, bytes, str] | None = None

    def run(self, until: float) -> None:
        """Send one request after the other until a time of the monotonic clock."""
        self.line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        for number in range(MOST_REQUESTS):
            if time.monotonic() > until:
                break
            self._one(self.random.choice(MIX), f"{self.probe}-{number}")
        self.line.close()

    def _one(self, kind: str, key: str) -> None:
        if kind is AGAIN and self.last is None:
            return
        method, address, body = self._request(kind)
        if kind is AGAIN and self.last is not None:
            key = self.last[3]
        began = time.perf_counter()
        status, answer = self._send(method, address, body, key)
        self.taken_ms[kind].append((time.perf_counter() - began) * 1000)
        if not 200 <= status < 300:
            self.failures.append(f"{kind}: {status} {answer[:300]!r}")
        elif kind in (POST, WEIGH):
            self.stored[kind] += json.loads(answer).get("stored", 1)
            self.last = (method, address, body, key)

    def _request(self, kind: str) -> tuple[str, str, bytes]:
        if kind is AGAIN and self.last is not None:
            return self.last[:3]
        if kind is POST:
            at = [self.next_s + n for n in range(BATCH)]
            self.next_s += BATCH
            body: dict[str, Any] = {"probe": self.probe, "at": at}
            body["temperature_c"] = [24 + n % 10 / 10 for n in range(BATCH)]
            return "POST", "readings/", json.dumps(body).encode()
        if kind is WEIGH:
            self.next_s += 1
            at_instant = datetime.fromtimestamp(self.next_s, UTC).isoformat()
            said = {"animal": self.random.choice(self.animals), "at": at_instant}
            return "POST", "weighings/", json.dumps({**said, "mass_g": 140}).encode()
        return "GET", self.random.choice(LISTS), b""

    def _send(
        self, method: str, address: str, body: bytes, key: str
    ) -> tuple[int, bytes]:
        headers = {"Authorization": f"Bearer {self.token}"}
        if body:
            headers |= {"Content-Type": "application/json", "Idempotency-Key": key}
        try:
            self.line.request(method, f"/api/v1/{address}", body or None, headers)
            answer = self.line.getresponse()
            return answer.status, answer.read()
        except (OSError, http.client.HTTPException) as error:
            self.line.close()
            return 0, repr(error).encode()


def figures(*, size: int | None) -> Iterator[Figure]:
    """Yield how long each kind of request took; `size`: clients."""
    with scratch_database():
        settle(stock(ANIMALS))
        before = Reading.objects.count(), Weighing.objects.count()
        connection.close()
        with _server() as port:
            clients = _clients(size or CLIENTS, port)
            progress(f"{len(clients)} clients for {LASTS_S:.0f} s")
            _run(clients)
        _check(clients, before)
        yield from _told(clients)


def _clients(count: int, port: int) -> list[Client]:
    codes = list(Animal.objects.order_by("pk").values_list("code", flat=True))
    probes = Probe.objects.filter(measures_temperature=True).order_by("pk")
    start_s = int((timezone.now() - timedelta(days=2)).timestamp())
    found = []
    for number, probe in enumerate(probes[:count]):
        user = User.objects.create(username=f"load-{number}", role=Role.OWNER.value)
        token = issue_token(
            user=user,
            name="load",
            scope=TokenScope.RECORD,
            by=None,
            at=timezone.now(),
        )
        own = codes[number::count]
        found.append(
            Client(token.text, probe.code, own, Random(number), port, start_s)  # noqa: S311 - not for secrets
        )
    return found


def _run(clients: list[Client]) -> None:
    until = time.monotonic() + LASTS_S
    threads = [threading.Thread(target=one.run, args=(until,)) for one in clients]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


@contextlib.contextmanager
def _server() -> Iterator[int]:
    """Serve the scratch database on a free port of the loopback address."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = int(free.getsockname()[1])
    command = [sys.executable, "-m", "gunicorn", "config.wsgi", "--no-control-socket"]
    command += ["--bind", f"127.0.0.1:{port}", "--workers", "2", "--threads", "4"]
    command += ["--log-level", "warning"]
    environment = {**os.environ, "DATABASE_URL": _address()}
    # What is measured is how fast it can answer, not how often it lets one ask.
    for kind in ("READ", "WRITE", "INGEST"):
        environment[f"SPURBOOK_{kind}_RATE"] = "1000000/minute"
    process = subprocess.Popen(command, env=environment, cwd=settings.BASE_DIR)
    try:
        _wait(port)
        yield port
    finally:
        process.terminate()
        process.wait(timeout=PATIENCE_S)


def _wait(port: int) -> None:
    """Wait until the program answers, and has answered often enough to be warm."""
    until, answered = time.monotonic() + PATIENCE_S, 0
    while time.monotonic() < until and answered < WARM:
        line = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)
        try:
            line.request("GET", "/healthz")
            answered += line.getresponse().status == HTTPStatus.OK
        except OSError:
            time.sleep(0.1)
        finally:
            line.close()
    if answered < WARM:
        raise RuntimeError("the server did not start")


def _address() -> str:
    """Return the address of the scratch database, for another process."""
    name = str(connection.settings_dict["NAME"])
    if connection.vendor == "sqlite":
        return f"sqlite:///{quote(name)}"
    given, mark, options = os.environ["DATABASE_URL"].partition("?")
    head, _, _ = given.rpartition("/")
    return f"{head}/{quote(name)}{mark}{options}"


def _check(clients: list[Client], before: tuple[int, int]) -> None:
    """Fail where anything failed, or is not there as it was answered."""
    failures = [failure for client in clients for failure in client.failures]
    if failures:
        raise RuntimeError(f"{len(failures)} failed, the first: {failures[:3]}")
    there = Reading.objects.count(), Weighing.objects.count()
    answered = [
        sum(client.stored[kind] for client in clients) for kind in (POST, WEIGH)
    ]
    grown = [now - then for now, then in zip(there, before, strict=True)]
    if grown != answered:
        raise RuntimeError(f"answered as stored: {answered}, there are: {grown}")


def _told(clients: list[Client]) -> Iterator[Figure]:
    whole = 0
    for kind in dict.fromkeys(MIX):
        taken = [ms for client in clients for ms in client.taken_ms[kind]]
        whole += len(taken)
        cuts = quantiles(taken, n=100)
        name = f"load: {kind}, {len(taken)} ×"
        yield Figure(f"{name} p95", cuts[94], cuts[49], None, "p50")
        yield Figure(f"{name} p99", cuts[98], cuts[49], None, "p50")
    progress(f"{whole / LASTS_S:.0f} requests a second, none failed, none lost")
