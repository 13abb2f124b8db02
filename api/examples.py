"""Examples in the OpenAPI document: what was really sent and answered in the tests.

`tests/api` records them (`tests/api/recording.py`) into `examples.json`, and a test
checks each against its schema, so that none can fall behind.
"""

import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

Json = dict[str, Any]
JSON = "application/json"
FILE = Path(__file__).with_name("examples.json")


@cache
def recorded() -> dict[str, Json]:
    """Return the examples by operation: `sent`, if it takes a body, and `answered`."""
    found: dict[str, Json] = json.loads(FILE.read_text(encoding="utf-8"))
    return found


def add_examples(result: Any, generator: Any, request: Any, public: bool) -> Any:  # noqa: ARG001, FBT001 - as the library calls it
    """Put the recorded examples beside the schemas that they are examples of."""
    for operation in operations(result):
        found = recorded().get(operation["operationId"], {})
        taken = operation.get("requestBody", {}).get("content", {})
        if JSON in taken and "sent" in found:
            taken[JSON]["example"] = found["sent"]
        status = str(found.get("status"))
        given = operation["responses"].get(status, {}).get("content", {})
        if JSON in given:
            given[JSON]["example"] = found["answered"]
    return result


def operations(document: Json) -> Iterator[Json]:
    """Return the operations of an OpenAPI document."""
    for methods in document["paths"].values():
        yield from methods.values()
