"""The machines' door: what it adds to the database's own work.

The floor is the same columns by `values_list`, encoded as JSON: no rows made into
objects, no checks, no sign-in.
"""

import json
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from functools import partial
from typing import Any

import msgspec
from django.db import transaction
from django.utils import timezone
from rest_framework.test import APIClient

from api.parsers import Body, CsvRowsBody, MsgpackBody, NdjsonBody
from api.reading_formats import read_batch
from api.reading_structs import VALUES
from bench.frame import Figure, progress, side_by_side
from bench.herd import START_S, stock
from bench.ingest import bare_work, beneath, on_postgres
from bench.residents import settle
from bench.scratch import scratch_database
from core.models import User
from core.roles import Role, TokenScope
from core.tokens import issue_token
from husbandry.actions.readings import write_readings
from husbandry.models import Animal, Probe, Stay
from husbandry.queries.weights import last_weighings
from husbandry.rules.readings import ReadingColumns

ROWS = 100
BATCH = 5_000
REPEATS = 31
COLUMNS = (
    "id",
    "code",
    "name",
    "species__code",
    "sex",
    "sex_basis",
    "sex_confidence",
    "hatched_on",
    "hatched_precision",
    "dam__code",
    "sire__code",
    "origin",
    "arrived_on",
    "status",
    "left_on",
    "microchip",
    "notes",
)
FLOOR, WORK = "floor", "work"
GOALS = {"JSON columns": 2.5, "msgpack columns": 2.5}
"""Of a whole request, by the database's own COPY; SQLite has no such thing."""


def figures(*, size: int | None) -> Iterator[Figure]:
    """Measure a list of animals and a batch of readings; `size`: enclosures."""
    with scratch_database():
        settle(stock(max(size or ROWS, ROWS)))
        client = _client()
        progress(f"listing {ROWS} animals")
        taken = side_by_side(
            {FLOOR: _listed_barely, WORK: _listing(client)}, repeats=REPEATS
        )
        yield Figure(
            f"api: list {ROWS} animals",
            taken[WORK], taken[FLOOR], 3, "values_list and encode",
        )  # fmt: skip
        yield from _posting(client)


def _client() -> APIClient:
    user = User.objects.create(username="bench", role=Role.OWNER.value)
    token = issue_token(
        user=user,
        name="bench",
        scope=TokenScope.RECORD,
        by=None,
        at=timezone.now(),
    )
    client = APIClient(SERVER_NAME="localhost")
    client.credentials(HTTP_AUTHORIZATION=f"Bearer {token.text}")
    return client


def _listing(client: APIClient) -> Callable[[], object]:
    address = f"/api/v1/animals/?page_size={ROWS}"
    assert len(client.get(address).json()["results"]) == ROWS  # noqa: S101 - a check
    return lambda: client.get(address)


def _listed_barely() -> bytes:
    rows = list(Animal.objects.order_by("code", "id").values_list(*COLUMNS)[:ROWS])
    ids = [row[0] for row in rows]
    stays = Stay.objects.filter(animal__in=ids, until_at__isnull=True)
    places = list(stays.values_list("animal_id", "enclosure_id", "enclosure__code"))
    latest = last_weighings(animal_ids=ids, before_at=timezone.now())
    return msgspec.json.encode([rows, places, list(latest.values())])


def _posting(client: APIClient) -> Iterator[Figure]:
    """Measure posted batches beside putting the same rows in without a question."""
    progress(f"posting {BATCH:,} readings")
    probe = Probe.objects.order_by("pk").first()
    assert probe is not None  # noqa: S101 - stocked above
    at = list(range(START_S, START_S + BATCH))
    body: dict[str, Any] = {
        "probe": probe.code,
        "at": at,
        VALUES[0]: [20 + n % 100 / 10 for n in range(BATCH)],
    }
    sent = _formats(body)
    columns = ReadingColumns.of(
        probe_ids=[probe.pk] * BATCH,
        at=at,
        temperature=[20_000 + n % 100 * 100 for n in range(BATCH)],
    )
    written, as_json = write_readings, sent["JSON columns"][1]
    taken = side_by_side(
        {
            FLOOR: lambda: _undone(bare_work(columns)),
            "write": lambda: _undone(
                lambda: written(columns=columns, at=datetime.now(UTC))
            ),
            **{name: partial(_sent, client, *one) for name, one in sent.items()},
            "read": lambda: read_batch(as_json),
            "plain": lambda: json.loads(as_json),
        },
        repeats=REPEATS,
    )
    yield Figure(
        f"api: post {BATCH:,} readings",
        taken["JSON columns"], taken["write"], 2, "storing the same columns",
    )  # fmt: skip
    for name in sent:
        yield Figure(
            f"api: post {BATCH:,} readings as {name}",
            taken[name], taken[FLOOR], GOALS.get(name) if on_postgres() else None,
            beneath(),
        )  # fmt: skip
    yield Figure(
        f"api: read {BATCH:,} readings strictly",
        taken["read"], taken["plain"], 3, "json.loads, which checks nothing",
    )  # fmt: skip


def _formats(body: dict[str, Any]) -> dict[str, tuple[str, bytes]]:
    """Return the same readings in each format, with its media type."""
    rows = [
        {"probe": body["probe"], "at": at, VALUES[0]: value}
        for at, value in zip(body["at"], body[VALUES[0]], strict=True)
    ]
    table = [f"probe,at,{VALUES[0]}", *(",".join(map(str, r.values())) for r in rows)]
    lines = b"\n".join(map(msgspec.json.encode, rows))
    return {
        "JSON columns": (Body.media_type, json.dumps(body).encode()),
        "msgpack columns": (MsgpackBody.media_type, msgspec.msgpack.encode(body)),
        "JSON rows": (Body.media_type, json.dumps({"readings": rows}).encode()),
        "NDJSON": (NdjsonBody.media_type, lines),
        "CSV": (CsvRowsBody.media_type, "\n".join(table).encode()),
    }


def _sent(client: APIClient, kind: str, body: bytes) -> None:
    _undone(lambda: _posted(client, kind, body))


def _posted(client: APIClient, kind: str, body: bytes) -> None:
    answer = client.post("/api/v1/readings/", body, content_type=kind)
    assert answer.json()["stored"] == BATCH, answer.json()  # noqa: S101 - as above


def _undone(work: Callable[[], object]) -> None:
    with transaction.atomic():
        work()
        transaction.set_rollback(True)
