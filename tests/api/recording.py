"""Take examples for the OpenAPI document from what the tests send and are answered.

    SPURBOOK_EXAMPLES=api/examples.json ./dev test tests/api --sqlite -p no:randomly

adds what is missing to the file and replaces what fits its schema no more; a part of
the tests will do. Without that variable nothing is recorded. Of several exchanges of
one operation the one that shows the most is kept.
"""

import json
import os
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator
from rest_framework.test import APIClient

from api import description
from api.examples import JSON, operations

LARGEST = 3_000
MOST_ROWS = 2
LONGEST = 300
SECRET = re.compile(r"\b(sb|whsec)_[A-Za-z0-9+/=_-]+")
_best: dict[str, tuple[int, dict[str, Any]]] = {}


def asked_for() -> bool:
    """Say whether this run is to record."""
    return "SPURBOOK_EXAMPLES" in os.environ


def noting(generic: Callable[..., Any]) -> Callable[..., Any]:
    """Return a test client's `generic` that also notes what is sent and answered."""

    def generic_noted(
        client: APIClient,
        method: str,
        path: str,
        data: Any = "",
        content_type: str | None = "application/octet-stream",
        *args: Any,
        **extra: Any,
    ) -> Any:
        answer = generic(client, method, path, data, content_type, *args, **extra)
        packed = "HTTP_CONTENT_ENCODING" in extra or extra.get("headers")
        is_json = bool(data) and str(content_type).startswith(JSON) and not packed
        _note(method, path, data if is_json else b"", answer)
        return answer

    return generic_noted


def _note(method: str, path: str, data: Any, answer: Any) -> None:
    kind = answer.get("Content-Type", "")
    if not 200 <= answer.status_code < 300 or not kind.startswith("application/json"):
        return
    operation = _operation(method.lower(), path.partition("?")[0])
    if operation is None:
        return
    found = {"status": answer.status_code, "answered": _short(answer.json())}
    if data:
        found["sent"] = _short(json.loads(data))
        if not _is_valid(found["sent"], operation.get("requestBody", {})):
            return  # the tests also send what is refused in part
    text = json.dumps(found)
    if "Infinity" in text:
        return  # a test sent a number that is too large for a float
    size = len(text)
    worth = _filled(found) - (1_000_000 if size > LARGEST else 0)
    worth -= 1_000_000 if '"refused": [{' in text else 0
    worth += 1_000_000_000 if data else 0
    name = operation["operationId"]
    if worth > _best.get(name, (-(10**9), {}))[0]:
        _best[name] = worth, found


def _operation(method: str, path: str) -> dict[str, Any] | None:
    template = re.sub(r"/\d+/", "/{id}/", path)
    found: dict[str, Any] | None = (
        description.document()["paths"].get(template, {}).get(method)
    )
    return found


def _short(value: Any) -> Any:
    """Leave out rows that show nothing new, and secrets."""
    if isinstance(value, dict):
        return {name: _short(part) for name, part in value.items()}
    if isinstance(value, list):
        return [_short(part) for part in value[:MOST_ROWS]]
    if isinstance(value, str):
        said = SECRET.sub(lambda found: f"{found[1]}_shown-once", value)
        return said if len(said) <= LONGEST else f"{said[:LONGEST]}…"
    return value


def _filled(value: Any) -> int:
    """Return how many values there are that say something."""
    if isinstance(value, dict):
        return sum(_filled(part) for part in value.values())
    if isinstance(value, list):
        return sum(_filled(part) for part in value)
    return int(value not in (None, "", False))


def write() -> None:
    """Write the examples that are new, or in the place of one that fits no more.

    A row that no test reads by itself is shown as its list shows it.
    """
    file = Path(os.environ["SPURBOOK_EXAMPLES"])
    known = json.loads(file.read_text(encoding="utf-8")) if file.exists() else {}
    fresh = {name: found for name, (_, found) in _best.items()}
    for name, found in list(fresh.items()):
        rows = found["answered"]["results"] if name.endswith("_list") else None
        if rows:
            one = f"{name.removesuffix('_list')}_retrieve"
            fresh.setdefault(one, {"status": 200, "answered": rows[0]})
    kept = {
        operation["operationId"]: found
        for operation in operations(description.document())
        for found in (
            fresh.get(operation["operationId"]),
            known.get(operation["operationId"]),
        )
        if found is not None and shows(found, operation)
    }
    text = json.dumps(dict(sorted(kept.items())), indent=1, ensure_ascii=False)
    file.write_text(text + "\n", encoding="utf-8")


def shows(found: dict[str, Any], operation: dict[str, Any]) -> bool:
    """Say whether an example fits what the document says of its operation."""
    answer = operation["responses"].get(str(found["status"]), {})
    return _is_valid(found["answered"], answer) and (
        "requestBody" not in operation
        or _is_valid(found.get("sent"), operation["requestBody"])
    )


def _is_valid(value: Any, holder: dict[str, Any]) -> bool:
    content = holder.get("content", {}).get(JSON)
    if content is None:
        return True  # another media type: no example of it is shown
    whole = {**content["schema"], "components": description.document()["components"]}
    return Draft202012Validator(whole).is_valid(value)
