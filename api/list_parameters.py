"""The query parameters that lists share, described for each as far as it has them."""

from collections.abc import Mapping, Sequence
from functools import cache
from typing import Annotated, Any, cast

from msgspec import Meta, Struct, defstruct

from api.inputs import unreadable
from api.structs import Asked

LONGEST_SEARCH = 100
_ORDERING = (
    "What to order by, with commas between; a - turns one round. Rows without a value "
    "come last either way."
)
_FIELDS = (
    "Which fields to answer, with commas between; all unless given. What is not asked "
    "for is then not in the answer, whatever its schema requires."
)


def offered(
    usual: type[Asked],
    *,
    searched: Sequence[str] = (),
    orderable: Sequence[str] = (),
    fields: Sequence[str] = (),
) -> type[Asked]:
    """Return the parameters of an action, with those that lists share.

    Args:
        usual: its parameters otherwise.
        searched: columns to look for words in; none: there is no `search`.
        orderable: names to order by; none: there is no `ordering`.
        fields: names to choose from; none: there is no `fields`.
    """
    return _offered(usual, tuple(searched), tuple(orderable), tuple(fields))


@cache
def _offered(
    usual: type[Asked],
    searched: tuple[str, ...],
    orderable: tuple[str, ...],
    fields: tuple[str, ...],
) -> type[Asked]:
    shared = {
        "search": _search(searched) if searched else None,
        "ordering": _listed(_both_ways(orderable), _ORDERING) if orderable else None,
        "fields": _listed(fields, _FIELDS) if fields else None,
    }
    found = [(n, kind | None, None) for n, kind in shared.items() if kind is not None]
    built = defstruct(usual.__name__, found, bases=(usual,), frozen=True, kw_only=True)
    return cast("type[Asked]", built)


def _search(columns: Sequence[str]) -> Any:
    places = ", ".join(column.replace("__", ".") for column in columns)
    told = (
        f"Words, each of which stands in one of: {places}. Upper and lower case are "
        "the same."
    )
    return Annotated[
        str, Meta(min_length=1, max_length=LONGEST_SEARCH, description=told)
    ]


def _listed(words: Sequence[str], told: str) -> Any:
    schema = {
        "type": "array",
        "items": {"type": "string", "enum": list(words)},
        "minItems": 1,
        "uniqueItems": True,
    }
    return Annotated[str, Meta(description=told, extra_json_schema=schema)]


def _both_ways(names: Sequence[str]) -> tuple[str, ...]:
    return tuple(way + name for name in names for way in ("", "-"))


def field_names(out: Any) -> tuple[str, ...]:
    """Return what can be chosen of an answer; nothing of what is no struct."""
    if isinstance(out, type) and issubclass(out, Struct):
        return out.__struct_encode_fields__
    return ()


def read_fields(text: str, *, known: Sequence[str]) -> tuple[str, ...]:
    """Return the names of the fields that are asked for, in their usual order.

    Raises:
        RefusedError: there is no field of a name, or it is there twice.
    """
    names = text.split(",")
    if not set(names) <= set(known) or len(set(names)) < len(names):
        raise unreadable(
            "fields",
            text,
            f"one or several of, each once and with a comma between: {', '.join(known)}",
        )
    return tuple(name for name in known if name in names)


def chosen(row: Struct, names: Sequence[str]) -> Mapping[str, Any]:
    """Return some fields of an answer; what was hidden in it stays hidden."""
    return {name: getattr(row, name) for name in names}
