"""The committed description of the API, as a page shows it."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import yaml
from django.conf import settings

Json = dict[str, Any]
REFERENCE = "#/components/schemas/"
BOUNDS = {
    "minimum": "at least {}",
    "exclusiveMinimum": "more than {}",
    "maximum": "at most {}",
    "minLength": "at least {} characters",
    "maxLength": "at most {} characters",
    "minItems": "at least {} of them",
    "maxItems": "at most {} of them",
}
PLAIN = {
    ("string", "date"): "day, as 2026-03-01",
    ("string", "date-time"): "instant, as 2026-03-01T06:00:00+01:00",
    ("string", "uri"): "address",
    ("string", ""): "text",
    ("integer", ""): "whole number",
    ("number", ""): "number",
    ("boolean", ""): "true or false",
    ("null", ""): "null",
    ("object", ""): "object",
}


@dataclass(frozen=True, slots=True)
class Member:
    """A parameter, or a field of a kind: its name, what it is, what is said of it."""

    name: str
    shape: str
    kinds: tuple[str, ...]
    told: str
    needed: bool


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of value: an object with fields, or a vocabulary."""

    name: str
    told: str
    members: tuple[Member, ...]
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Content:
    """A body or an answer: of which media type, what it is, an example of it."""

    media: str
    shape: str
    kinds: tuple[str, ...]
    example: str


@dataclass(frozen=True, slots=True)
class Answer:
    """What comes back under a status."""

    status: str
    told: str
    contents: tuple[Content, ...]


@dataclass(frozen=True, slots=True)
class Operation:
    """One method at one address."""

    name: str
    method: str
    path: str
    summary: str
    told: tuple[str, ...]
    parameters: tuple[Member, ...]
    bodies: tuple[Content, ...]
    answers: tuple[Answer, ...]
    refusals: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Resource:
    """What one word of the addresses is about."""

    name: str
    told: str
    operations: tuple[Operation, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """Resources that belong together."""

    name: str
    resources: tuple[Resource, ...]


@cache
def described() -> Json:
    """Return the committed document; it does not change while the program runs."""
    path = Path(settings.BASE_DIR) / "docs" / "openapi.yaml"
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    found: Json = yaml.load(path.read_text(encoding="utf-8"), Loader=loader)  # noqa: S506 - both are safe loaders
    return found


@cache
def groups() -> tuple[Group, ...]:
    """Return all resources with their operations, by group."""
    told = {tag["name"]: tag["description"] for tag in described()["tags"]}
    found: dict[str, list[Operation]] = {name: [] for name in told}
    for path, methods in described()["paths"].items():
        for method, operation in methods.items():
            found[operation["tags"][0]].append(_operation(path, method, operation))
    return tuple(
        Group(
            group["name"],
            tuple(Resource(tag, told[tag], tuple(found[tag])) for tag in group["tags"]),
        )
        for group in described()["x-tagGroups"]
    )


def resource_named(name: str) -> Resource | None:
    """Return a resource, if there is one of that name."""
    every = (resource for group in groups() for resource in group.resources)
    return next((resource for resource in every if resource.name == name), None)


def kinds_of(resource: Resource) -> tuple[Kind, ...]:
    """Return the kinds that a resource's bodies and answers are made of, by name."""
    waiting = [
        kind
        for operation in resource.operations
        for content in (
            *operation.bodies,
            *(content for answer in operation.answers for content in answer.contents),
        )
        for kind in content.kinds
    ]
    found: dict[str, Kind] = {}
    while waiting:
        name = waiting.pop()
        if name not in found:
            found[name] = _kind(name)
            waiting += [k for member in found[name].members for k in member.kinds]
    return tuple(found[name] for name in sorted(found))


def _operation(path: str, method: str, operation: Json) -> Operation:
    answers = operation["responses"]
    return Operation(
        name=operation["operationId"],
        method=method.upper(),
        path=path,
        summary=operation["summary"],
        told=tuple(operation.get("description", "").split("\n\n")),
        parameters=tuple(
            _member(
                given["name"],
                given["schema"],
                told=given.get("description", ""),
                needed=given.get("required", False),
            )
            for given in map(_resolved, operation.get("parameters", []))
        ),
        bodies=_contents(operation.get("requestBody", {})),
        answers=tuple(
            Answer(status, answer["description"], _contents(answer))
            for status, answer in answers.items()
            if status.startswith("2")
        ),
        refusals=tuple(
            (status, _resolved(answer)["description"])
            for status, answer in answers.items()
            if not status.startswith("2")
        ),
    )


def _resolved(value: Json) -> Json:
    """Follow a reference to a component."""
    found = value
    for part in value.get("$ref", "").split("/")[1:]:
        found = described()[part] if found is value else found[part]
    return found


def _contents(value: Json) -> tuple[Content, ...]:
    return tuple(
        Content(
            media=media,
            shape=_shape(content.get("schema", {})),
            kinds=tuple(_kinds(content.get("schema", {}))),
            example=_written(content["example"]) if "example" in content else "",
        )
        for media, content in _resolved(value).get("content", {}).items()
    )


def _written(example: Any) -> str:
    return json.dumps(example, indent=2, ensure_ascii=False)


def _kind(name: str) -> Kind:
    schema = described()["components"]["schemas"][name]
    needed = schema.get("required", ())
    return Kind(
        name=name,
        told=schema.get("description", ""),
        members=tuple(
            _member(field, inner, told="", needed=field in needed)
            for field, inner in schema.get("properties", {}).items()
        ),
        words=tuple(str(word) for word in schema.get("enum", ())),
    )


def _member(name: str, schema: Json, *, told: str, needed: bool) -> Member:
    return Member(
        name=name,
        shape=_shape(schema),
        kinds=tuple(_kinds(schema)),
        told=told or schema.get("description", ""),
        needed=needed,
    )


def _shape(schema: Mapping[str, Any]) -> str:
    """Return in words what a schema takes."""
    if "$ref" in schema:
        return str(schema["$ref"]).removeprefix(REFERENCE)
    for several in ("anyOf", "oneOf"):
        if several in schema:
            return " or ".join(_shape(part) for part in schema[several])
    if "enum" in schema:
        return "one of " + ", ".join(str(word) for word in schema["enum"])
    given = schema.get("type", "")
    names = given if isinstance(given, list) else [given]
    shape = " or ".join(_plain(name, schema) for name in names)
    bounds = [told.format(schema[b]) for b, told in BOUNDS.items() if b in schema]
    if "default" in schema:
        bounds.append(f"{json.dumps(schema['default'])} unless given")
    return ", ".join([shape, *bounds])


def _plain(name: str, schema: Mapping[str, Any]) -> str:
    if name == "array":
        return f"list of {_shape(schema.get('items', {})) or 'anything'}"
    if "contentMediaType" in schema:
        return "file"
    usual = PLAIN.get((name, ""), "anything")
    return PLAIN.get((name, schema.get("format", "")), usual)


def _kinds(schema: Any) -> Iterator[str]:
    """Yield the names of the kinds that a schema refers to."""
    if isinstance(schema, Mapping):
        if "$ref" in schema:
            yield str(schema["$ref"]).removeprefix(REFERENCE)
        for part in schema.values():
            yield from _kinds(part)
    elif isinstance(schema, list):
        for part in schema:
            yield from _kinds(part)
