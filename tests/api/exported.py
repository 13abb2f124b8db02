"""Exports read back by readers of other makers than their writer, where there are some."""

import csv
import json
from datetime import datetime
from decimal import Decimal
from io import BytesIO, StringIO
from typing import Any
from zipfile import ZipFile

import pyarrow.parquet as pq
from rest_framework.test import APIClient

Row = dict[str, Any]


def body(client: APIClient, address: str, **asked: str) -> bytes:
    answer = client.get(f"/api/v1/exports/{address}/", asked)
    assert answer.status_code == 200, answer.content
    assert answer.streaming
    return b"".join(answer.streaming_content)  # type: ignore[arg-type] # bytes, as it is no asynchronous one


def archive(client: APIClient, address: str) -> ZipFile:
    found = ZipFile(BytesIO(body(client, address)))
    assert found.testzip() is None
    return found


def manifest(found: ZipFile) -> Any:
    return json.loads(found.read("manifest.json"))


def csv_rows(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(data.decode(), newline="")))


def ndjson_rows(data: bytes) -> list[Row]:
    return [
        json.loads(line, parse_float=Decimal) for line in data.decode().splitlines()
    ]


def parquet_rows(data: bytes) -> list[Row]:
    rows: list[Row] = pq.read_table(BytesIO(data)).to_pylist()
    return rows


def as_texts(rows: list[Row]) -> list[dict[str, str]]:
    """The same rows as a table of texts has them."""
    return [{name: as_text(value) for name, value in row.items()} for row in rows]


def as_text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, datetime):
        return value.isoformat().replace("+00:00", "Z")
    return str(value)
