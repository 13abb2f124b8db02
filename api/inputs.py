"""Read query parameters and bodies as structs, strictly, and say what is wrong."""

import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum
from typing import Any, Literal, TypeVar, get_args, get_origin, get_type_hints

import msgspec
from django.http import QueryDict
from msgspec import Struct
from rest_framework.request import Request

from api.errors import RefusedError
from api.json_names import check_names
from api.structs import Asked

T = TypeVar("T")
A = TypeVar("A", bound=Asked)

FIRST_DAY, LAST_DAY = date(1970, 1, 1), date(2199, 12, 31)
"""Further off, days have no bounds in every time zone's tables."""
_PLACE = re.compile(r" - at `\$?\.?(?P<path>[^`]*)`$")
_WRITTEN = re.compile(r"\d{4}-")
_UNKNOWN = re.compile(r"unknown field `(?P<name>[^`]*)`")
_MISSING = re.compile(r"missing required field `(?P<name>[^`]*)`")
_STEP = re.compile(r"[A-Za-z_]\w*")
_BOM = b"\xef\xbb\xbf"


def read_query(given: QueryDict, wanted: type[A], *, filters: Sequence[str] = ()) -> A:
    """Return the query parameters as a struct.

    Args:
        given: as they stand in the address.
        wanted: the struct.
        filters: names of others, that a filter set will read.

    Raises:
        RefusedError: one is not known here, is given twice, or cannot be read.
    """
    _check_names(given, (*filters, *wanted.__struct_fields__))
    own = {name: texts[0] for name, texts in given.lists() if name not in filters}
    for name, text in own.items():
        if "\x00" in text or text.lower() == "null":
            raise unreadable(name, text, _accepted(wanted, name) or "other text")
    try:
        asked = msgspec.convert(own, wanted, strict=False)
    except msgspec.ValidationError as error:
        name = _path(error)
        accepted = _accepted(wanted, name) or _asked_for(error)
        raise unreadable(name, own.get(name, ""), accepted) from error
    for name, text in own.items():
        # Bare seconds would be read as well; in an address they are a slip.
        if isinstance(getattr(asked, name), datetime) and not _WRITTEN.match(text):
            raise unreadable(name, text, _accepted(wanted, name))
    check_days(asked)
    return asked


def _check_names(given: QueryDict, known: Sequence[str]) -> None:
    for name, values in given.lists():
        if name not in known:
            allowed = ", ".join(known) or "none"
            raise RefusedError(
                "unknown_parameter",
                f"There is no parameter {name!r} here. Parameters are: {allowed}.",
                fields={name: f"one of: {allowed}"},
            )
        if len(values) > 1:
            raise RefusedError(
                "repeated_parameter",
                f"{name} is given {len(values)} times; give it once.",
                fields={name: "once"},
            )


def unreadable(name: str, text: str, accepted: str) -> RefusedError:
    """Return the refusal of a parameter's value."""
    return RefusedError(
        "invalid_parameter",
        f"{name}={text!r} cannot be read; accepted is: {accepted}.",
        fields={name: accepted},
    )


def sent(request: Request) -> bytes:
    """Return the bytes of a JSON body, if there are any and no database trips on them.

    A mark of the order of bytes, as some editors write it, is passed over (RFC 8259,
    8.1 lets a reader do so).

    Raises:
        RefusedError: none was sent, it is not UTF-8, a text in it holds U+0000, or an
            object a name twice.
    """
    given: Mapping[str, Any] = request.data  # type: ignore[assignment] # see Body.parse
    data = bytes(given.get("json", b"")).removeprefix(_BOM)
    if not data.strip():
        raise RefusedError("no_body", "A JSON body is needed and none was sent.")
    if rb"\u0000" in data or b"\x00" in data:
        raise RefusedError("malformed_json", "A text holds the character U+0000.")
    try:
        # Not left to the decoder: rows that are read later must be sound already.
        data.decode()
    except UnicodeDecodeError as error:
        raise malformed(error) from error
    check_names(data)
    return data


def read_body(body: bytes, wanted: type[T]) -> T:
    """Return a JSON body as what is wanted.

    Args:
        body: as `sent` returns it.
        wanted: a struct or a union with one.

    Raises:
        RefusedError: it is not JSON, or says something else.
    """
    try:
        found = msgspec.json.decode(body, type=wanted)
    except msgspec.ValidationError as error:
        raise invalid_body(error, wanted) from error
    except (msgspec.DecodeError, RecursionError) as error:
        raise malformed(error) from error
    for part in found if isinstance(found, list) else [found]:
        check_days(part)
    return found


def exact(number: float) -> Decimal:
    """Return a number as it was sent: the shortest decimal that reads back as it."""
    return Decimal(repr(number))


def malformed(error: Exception) -> RefusedError:
    """Return the refusal of what is not JSON."""
    reason = "nested too deep" if isinstance(error, RecursionError) else str(error)
    return RefusedError("malformed_json", f"The body is not JSON in UTF-8: {reason}.")


def invalid_body(error: msgspec.ValidationError, wanted: Any) -> RefusedError:
    """Return the refusal of a body that is JSON but says something else."""
    path, said = _path(error), _said(error)
    accepted = _accepted_at(wanted, path) or _asked_for(error)
    if unknown := _UNKNOWN.search(str(error)):
        known = _names(_at(wanted, _STEP.findall(path)))
        said = accepted = f"none of that name; known are: {known}"
        path = _below(path, unknown["name"])
    elif missing := _MISSING.search(str(error)):
        said = "it is missing"
        path = _below(path, missing["name"])
        accepted = _accepted_at(wanted, path) or "needed"
    where = path or "the body"
    return RefusedError(
        "invalid_body",
        f"{where} cannot be read: {said}.",
        fields={path: accepted} if path else {},
    )


def _below(path: str, name: str) -> str:
    return f"{path}.{name}" if path else name


def _at(wanted: Any, names: Sequence[str]) -> Any:
    """Return the type that stands below a type, by the names of its fields."""
    for name in names:
        hints = [get_type_hints(struct) for struct in _structs(wanted)]
        wanted = next((hint[name] for hint in hints if name in hint), None)
    return wanted


def _accepted_at(wanted: Any, path: str) -> str:
    """Return what is taken at a path such as `readings[3].at`, if there are words."""
    *above, name = _STEP.findall(path) or [""]
    return _accepted(_at(wanted, above), name)


def _path(error: msgspec.ValidationError) -> str:
    found = _PLACE.search(str(error))
    return found["path"] if found else ""


def _said(error: msgspec.ValidationError) -> str:
    text = _PLACE.sub("", str(error)).replace("`", "")
    return text[:1].lower() + text[1:]


def _asked_for(error: msgspec.ValidationError) -> str:
    return _said(error).removeprefix("expected ").partition(", got ")[0]


def _structs(wanted: Any) -> Iterator[type[Struct]]:
    if isinstance(wanted, type) and issubclass(wanted, Struct):
        yield wanted
    for part in get_args(wanted):
        yield from _structs(part)


def _names(wanted: Any) -> str:
    names = dict.fromkeys(
        n for s in _structs(wanted) for n in s.__struct_encode_fields__
    )
    return ", ".join(names)


def _accepted(wanted: Any, name: str) -> str:
    """Return the words that a field takes, where it takes words of a vocabulary."""
    # Of a list of words each place takes the same: `kinds[0]`.
    name = name.partition("[")[0]
    configs = [struct.__struct_config__ for struct in _structs(wanted)]
    if tags := [str(c.tag) for c in configs if c.tag_field == name]:
        return ", ".join(tags)
    for struct in _structs(wanted):
        hint = get_type_hints(struct).get(name)
        for part in (hint, *get_args(hint)):
            if told := _words(part):
                return told
    return ""


_WRITTEN_AS = {
    bool: "true, false",
    date: "a day as 2026-03-01",
    datetime: "an instant as 2026-03-01T06:00:00+01:00",
}


def _words(part: Any) -> str:
    """Return what a type takes, where few words say it."""
    if isinstance(part, type) and issubclass(part, StrEnum):
        return ", ".join(word.value for word in part)
    if get_origin(part) is Literal:
        return ", ".join(get_args(part))
    return _WRITTEN_AS.get(part, "") if isinstance(part, type) else ""


def check_days(struct: Any) -> None:
    """Refuse a struct with days that no clock here can place.

    Raises:
        RefusedError: a day or an instant before 1970 or after 2199.
    """
    for name in getattr(struct, "__struct_fields__", ()):
        check_day(name, getattr(struct, name))


def check_day(name: str, value: Any) -> None:
    """Refuse a day that no clock here can place; other values pass.

    Raises:
        RefusedError: a day or an instant before 1970 or after 2199.
    """
    day = value.date() if isinstance(value, datetime) else value
    if isinstance(day, date) and not FIRST_DAY <= day <= LAST_DAY:
        raise RefusedError(
            "day_out_of_range",
            f"{name}={day} is too far off; accepted is {FIRST_DAY} to {LAST_DAY}.",
            fields={name: f"{FIRST_DAY} to {LAST_DAY}"},
        )
