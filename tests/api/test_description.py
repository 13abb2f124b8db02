"""The committed description is what the code says, and says it whole."""

import re
from collections import Counter
from collections.abc import Iterator
from enum import StrEnum
from io import StringIO
from pathlib import Path
from typing import get_args, get_type_hints

import pytest
from django.core.management import CommandError, call_command
from drf_spectacular.validation import validate_schema
from rest_framework.test import APIClient

from api import description
from api.errors import PROBLEM
from api.structs import In, Out


def _operations() -> list[tuple[str, dict[str, object]]]:
    return [
        (f"{method} {address}", operation)
        for address, methods in description.document()["paths"].items()
        for method, operation in methods.items()
    ]


def test_the_committed_description_is_current() -> None:
    call_command("openapi", "--check")


def test_a_stale_description_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(description, "path", lambda: tmp_path / "openapi.yaml")

    with pytest.raises(CommandError, match="is not what the code says"):
        call_command("openapi", "--check")
    out = StringIO()
    call_command("openapi", stdout=out)
    call_command("openapi", "--check")

    assert out.getvalue() == "docs/openapi.yaml written\n"


def test_it_is_valid_and_says_3_1() -> None:
    validate_schema(description.document())

    assert description.document()["openapi"] == "3.1.0"


def test_it_is_served(viewer: APIClient) -> None:
    served = viewer.get("/api/v1/schema/").json()

    assert served["info"]["title"] == "Spurbook"
    assert set(served["paths"]) == set(description.document()["paths"])


def test_every_operation_says_what_it_does_and_refuses() -> None:
    refusals = description.document()["components"]["responses"]
    bodies = {n: tuple(r.get("content", ())) for n, r in refusals.items()}
    assert bodies.pop("NotModified") == ()
    assert set(bodies.values()) == {(PROBLEM,)}
    for name, operation in _operations():
        assert operation["summary"], name
        assert "Needs: `" in str(operation["description"]), name
        responses = operation["responses"]
        assert {"400", "401", "403", "406", "429", "default"} <= set(responses), name  # type: ignore[call-overload]
        ways = [{"token": []}, {"cookieAuth": []}]
        # Nobody has to sign in to learn how the installation is, or to check a packet.
        open_ = name.endswith(("/health/", "/packets/check/"))
        ways = [{}, *ways] if open_ else ways
        assert operation["security"] == ways, name
        if "{id}" in name:
            assert "404" in responses, name  # type: ignore[operator]


def _refers_to(operation: dict[str, object], name: str) -> bool:
    reference = {"$ref": f"#/components/parameters/{name}"}
    return reference in operation.get("parameters", [])  # type: ignore[operator]


def test_every_operation_says_how_it_is_sent_again_or_not_overwritten() -> None:
    for name, operation in _operations():
        reads, responses = name.startswith("get "), operation["responses"]
        assert _refers_to(operation, "IfNoneMatch") is reads, name
        assert ("304" in responses) is reads, name  # type: ignore[operator]
        assert _refers_to(operation, "IdempotencyKey") is not reads, name
        assert ({"409", "422"} <= set(responses)) is not reads, name  # type: ignore[call-overload]
        of_a_row = "/{id}/" in name and not reads
        assert _refers_to(operation, "IfMatch") is of_a_row, name
        assert ("412" in responses) is of_a_row, name  # type: ignore[operator]
        if reads:
            assert set(responses["200"]["headers"]) == {"ETag"}, name  # type: ignore[index]


def test_every_measured_field_says_its_unit() -> None:
    schemas = description.document()["components"]["schemas"]
    units = {
        "_c": "°C",
        "_g": "grams|milligrams",
        "_mg": "milligrams|mg",
        "_ml": "millilit|mL|milligrams per",
        "_cm": "cm",
        "_mm": "mm",
        "_pct": "%|ercent",
        "_s": "econds",
        "_ms": "illiseconds",
        "_hours": "ours",
        "_days": "ays",
        "_g_per_day": "grams a day|g a day|g/day",
    }
    checked = 0
    for name, schema in schemas.items():
        for field, told in schema.get("properties", {}).items():
            for ending, unit in units.items():
                if field.endswith(ending):
                    checked += 1
                    assert re.search(unit, told["description"], re.IGNORECASE), (
                        f"{name}.{field}"
                    )
    assert checked > 150


def _children(root: type) -> Iterator[type]:
    for child in root.__subclasses__():
        yield child
        yield from _children(child)


def test_no_two_structs_share_a_name() -> None:
    """A component is named after its struct, and the first of a name stands for all."""
    described = description.document()["components"]["schemas"]
    structs = {s for root in (In, Out) for s in _children(root)}
    names = Counter(s.__name__ for s in structs if s.__module__.startswith("api."))

    assert [name for name, many in names.items() if many > 1] == []
    assert len(names.keys() & described.keys()) > 100


def _words(hint: object) -> Iterator[type[StrEnum]]:
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        yield hint
    for part in get_args(hint):
        yield from _words(part)


def test_no_two_vocabularies_share_a_name() -> None:
    """One schema would stand for both, and one of them would be described wrongly."""
    structs = {s for root in (In, Out) for s in _children(root)}
    spoken = {
        vocabulary
        for struct in structs
        for hint in get_type_hints(struct).values()
        for vocabulary in _words(hint)
    }

    names = Counter(vocabulary.__name__ for vocabulary in spoken)

    assert [name for name, many in names.items() if many > 1] == []
    assert len(names) > 30
