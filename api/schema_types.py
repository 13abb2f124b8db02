"""What a struct looks like in the OpenAPI document."""

from collections.abc import Iterator
from typing import Any

import msgspec
from django.core.exceptions import FieldDoesNotExist
from msgspec import Struct

from api.schema_units import with_unit
from api.structs import Out

Json = dict[str, Any]
REFERENCE = "#/components/schemas/{name}"


def described(wanted: Any) -> tuple[Json, dict[str, Json]]:
    """Return the JSON schema of a type, and the components that it refers to."""
    (schema,), components = msgspec.json.schema_components(
        [wanted], ref_template=REFERENCE
    )
    structs = {s.__name__: s for s in _all(Out)}
    for name, component in components.items():
        component.pop("title", None)
        if name in structs:
            _borrow_words(structs[name], component)
            # An answer always holds every field.
            component["required"] = list(component.get("properties", {}))
        _tell_units(component)
    return _plain(schema), {n: _plain(c) for n, c in components.items()}


def parameters(wanted: type[Struct]) -> list[Json]:
    """Return the query parameters that a struct stands for."""
    _, components = described(wanted)
    return [_parameter(n, s) for n, s in _properties(components, wanted).items()]


def _properties(components: dict[str, Json], wanted: type[Struct]) -> Json:
    found: Json = components.get(wanted.__name__, {}).get("properties", {})
    resolved = {}
    for name, schema in found.items():
        some = [s for s in schema.get("anyOf", [schema]) if s != {"type": "null"}]
        refers = some[0].get("$ref", "").rpartition("/")[2]
        resolved[name] = {**(components[refers] if refers else some[0])}
        if "description" in schema:
            resolved[name]["description"] = schema["description"]
        if schema.get("default") is not None:
            resolved[name]["default"] = schema["default"]
    return resolved


def _parameter(name: str, schema: Json) -> Json:
    description = schema.pop("description", "")
    found: Json = {"name": name, "in": "query", "schema": schema}
    if "items" in schema:
        # A text for the reader: one parameter with commas in it, not one for each.
        schema["type"] = "array"
        found = {**found, "style": "form", "explode": False}
    return {**found, "description": description} if description else found


def _all(root: type[Struct]) -> Iterator[type[Struct]]:
    yield root
    for child in root.__subclasses__():
        yield from _all(child)


def _borrow_words(struct: type[Struct], component: Json) -> None:
    about = getattr(struct, "about", None)
    for name, schema in component.get("properties", {}).items():
        if about is None or "description" in schema:
            continue
        try:
            field = about._meta.get_field(name)  # noqa: SLF001 - public Meta API
        except FieldDoesNotExist:
            continue
        if help_text := getattr(field, "help_text", ""):
            schema["description"] = str(help_text)


def _tell_units(component: Json) -> None:
    for name, schema in component.get("properties", {}).items():
        told = with_unit(name, schema.get("description", ""))
        if told:
            schema["description"] = told


def _plain(schema: Any) -> Any:
    """Say of decimals that they are written as numbers, of tags that they are text."""
    if isinstance(schema, list):
        return [_plain(part) for part in schema]
    if not isinstance(schema, dict):
        return schema
    if isinstance(schema.get("enum"), list) and "type" not in schema:
        return {"type": "string", **schema}
    if schema.get("format") == "decimal":
        rest = {k: v for k, v in schema.items() if k != "format"}
        return {**rest, "type": "number"}
    return {name: _plain(part) for name, part in schema.items()}
