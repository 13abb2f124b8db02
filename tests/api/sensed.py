"""A batch of readings, written in each of the formats that a sensor may send."""

import csv
import gzip
import io
import json
from collections.abc import Mapping, Sequence
from typing import Any

import msgspec
from rest_framework.test import APIClient

READINGS = "/api/v1/readings/"
NAMES = ("probe", "at", "temperature_c", "humidity_pct", "uv_index")
Row = Mapping[str, Any]


def as_json(rows: Sequence[Row]) -> tuple[str, bytes]:
    return "application/json", json.dumps({"readings": rows}).encode()


def as_msgpack(rows: Sequence[Row]) -> tuple[str, bytes]:
    return "application/msgpack", msgspec.msgpack.encode({"readings": rows})


def as_ndjson(rows: Sequence[Row]) -> tuple[str, bytes]:
    lines = [json.dumps(row, ensure_ascii=False) for row in rows]
    return "application/x-ndjson", "\n".join([*lines, ""]).encode()


def as_csv(rows: Sequence[Row]) -> tuple[str, bytes]:
    text = io.StringIO(newline="")
    table = csv.DictWriter(text, NAMES[::-1])
    table.writeheader()
    table.writerows(rows)
    return "text/csv", text.getvalue().encode()


def columns(rows: Sequence[Row]) -> dict[str, Any] | None:
    """Return rows as columns, where one probe says all of them."""
    if len({row["probe"] for row in rows}) != 1:
        return None
    named = {name: [row.get(name) for row in rows] for name in NAMES[1:]}
    return {"probe": rows[0]["probe"], **named}


def as_json_columns(rows: Sequence[Row]) -> tuple[str, bytes] | None:
    shape = columns(rows)
    return None if shape is None else ("application/json", json.dumps(shape).encode())


def as_msgpack_columns(rows: Sequence[Row]) -> tuple[str, bytes] | None:
    shape = columns(rows)
    return (
        None
        if shape is None
        else ("application/vnd.msgpack", msgspec.msgpack.encode(shape))
    )


FORMATS = (
    *(as_json, as_msgpack, as_ndjson, as_csv),
    *(as_json_columns, as_msgpack_columns),
)


def post(client: APIClient, kind: str, body: bytes, *, packed: bool = False) -> Any:
    """Post a body, or the same compressed."""
    headers = {"content-encoding": "gzip"} if packed else {}
    sent = gzip.compress(body) if packed else body
    return client.generic("POST", READINGS, sent, content_type=kind, headers=headers)
