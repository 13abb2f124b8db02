"""Names that stand twice in one object: RFC 8259, 4 leaves open which of them counts."""

import json
from typing import Any

import msgspec

from api.errors import RefusedError

_FLAT = msgspec.json.Decoder(dict[str, msgspec.Raw])


def check_names(data: bytes) -> None:
    """Refuse JSON in which an object holds a name twice.

    What cannot be read at all is left to whoever reads it: it knows more to say.

    Args:
        data: JSON in UTF-8.

    Raises:
        RefusedError: with the name. A decoder would take the last and say nothing.
    """
    if _has_one_colon_a_name(data):
        return
    try:
        json.loads(data, object_pairs_hook=_once, parse_float=str, parse_int=str)
    except (ValueError, RecursionError):
        return


def _has_one_colon_a_name(data: bytes) -> bool:
    """Say whether an object has as many colons as names: then none stands twice.

    It spares the columns of a sensor, which are most of what comes in, a second reading.
    """
    try:
        return data.count(b":") == len(_FLAT.decode(data))
    except (msgspec.DecodeError, RecursionError):
        return False


def _once(pairs: list[tuple[str, Any]]) -> None:
    names = [name for name, _ in pairs]
    if len(set(names)) < len(names):
        name = next(n for n in names if names.count(n) > 1)
        raise RefusedError(
            "repeated_name",
            f"The name {name!r} stands more than once in one object; which value is "
            "meant? Give it once. Nothing was stored.",
            fields={name: "once"},
        )
