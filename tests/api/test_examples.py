"""Every operation shows what is sent and answered, and shows it truly."""

from typing import Any

import pytest
from jsonschema import Draft202012Validator

from api import description
from api.examples import JSON, recorded

PLAIN = {
    operation["operationId"]: operation
    for methods in description.document()["paths"].values()
    for operation in methods.values()
}
RECORD = (
    "Give it a test in tests/api that calls it, then record again: "
    "SPURBOOK_EXAMPLES=api/examples.json ./dev test tests/api/test_….py --sqlite, then "
    "./dev manage openapi"
)


def _answers(operation: dict[str, Any]) -> list[dict[str, Any]]:
    return [
        answer["content"][JSON]
        for status, answer in operation["responses"].items()
        if status.startswith("2") and JSON in answer.get("content", {})
    ]


def _body(operation: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = operation.get("requestBody", {}).get("content", {})
    return found.get(JSON, {})


@pytest.mark.parametrize("name", PLAIN)
def test_an_operation_has_examples_that_fit_their_schemas(name: str) -> None:
    operation = PLAIN[name]
    answers, body = _answers(operation), _body(operation)

    shown = [answer for answer in answers if "example" in answer]
    assert bool(shown) == bool(answers), f"{name} shows no answer. {RECORD}"
    assert not body or "example" in body, f"{name} shows no body. {RECORD}"
    for content in (*shown, *([body] if body else [])):
        # JSON Schema 2020-12, as OpenAPI 3.1 takes it over; read by a library.
        schema = {
            **content["schema"],
            "components": description.document()["components"],
        }
        errors = Draft202012Validator(schema).iter_errors(content["example"])
        assert [error.message for error in errors] == [], f"{name}. {RECORD}"


def test_no_example_is_of_an_operation_that_is_gone() -> None:
    assert recorded().keys() - PLAIN.keys() == set()
