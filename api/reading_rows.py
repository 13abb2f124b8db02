"""Readings that are read one by one, so that a bad one keeps no other out.

Whatever they were written in, they become plain values first: the same fault is
refused in the same words in every format.
"""

import math
from collections.abc import Callable, Sequence
from typing import Any

import msgspec

from api.errors import RefusedError
from api.inputs import invalid_body
from api.reading_batches import Batch
from api.reading_structs import LAST_SECOND, VALUES, ReadingIn
from api.row_lists import RefusedRow, Taken

UNREADABLE = "unreadable"
# How many digits an instant of this century has in each unit, and what it is called.
_UNITS = (
    (range(12, 15), 10**3, "milliseconds"),
    (range(15, 18), 10**6, "microseconds"),
    (range(18, 21), 10**9, "nanoseconds"),
)


def read_each(raw: Sequence[Any], plain: Callable[[Any], object]) -> Batch:
    """Read each row by itself.

    Args:
        raw: rows as they were sent, at least one.
        plain: returns a row as plain values.

    Raises:
        RefusedError: not one of them can be read.
    """
    taken = Taken[ReadingIn]()
    for place, one in enumerate(raw):
        found = _reading(one, plain)
        if isinstance(found, str):
            row = RefusedRow(index=place, code=UNREADABLE, sentence=found)
            taken.refused.append(row)
        else:
            taken.rows.append(found)
            taken.places.append(place)
    if not taken.rows:
        raise RefusedError(
            "invalid_body",
            f"None of the {len(raw):,} rows can be read. The first: "
            f"{taken.refused[0].sentence}",
        )
    return Batch.of_rows(taken.rows, taken.places, taken.refused, received=len(raw))


def _reading(raw: Any, plain: Callable[[Any], object]) -> ReadingIn | str:
    """Return a reading, or the sentence that says why it cannot be read."""
    try:
        values = plain(raw)
    except RefusedError as refusal:
        return str(refusal.detail)
    except (ValueError, RecursionError) as error:
        reason = "nested too deep" if isinstance(error, RecursionError) else str(error)
        return f"It cannot be read: {reason}."
    try:
        row = msgspec.convert(values, ReadingIn)
    except msgspec.ValidationError as error:
        found = invalid_body(error, ReadingIn)
        at = values.get("at") if isinstance(values, dict) else None
        wrong_at = "at" in found.fields and type(at) is int
        return _about_seconds(at) if wrong_at else str(found.detail)
    return unsound(row) or row


def unsound(row: ReadingIn) -> str:
    """Return why a reading cannot be taken although it has the right types, or ""."""
    if "\x00" in row.probe:
        return "probe holds the character U+0000; give the code on its label."
    for name in VALUES:
        value = getattr(row, name)
        if value is not None and not math.isfinite(value):
            return f"{name} is {value}, which is no number; send none instead."
    return ""


def _about_seconds(at: Any) -> str:
    wanted = "send whole seconds since 1970-01-01T00:00Z, or ISO 8601 with an offset"
    if at < 0:
        return f"at {at} is before 1970; {wanted}."
    for digits, parts, name in _UNITS:
        if len(str(at)) in digits and at // parts <= LAST_SECOND:
            return (
                f"at {at} has {len(str(at))} digits, which looks like {name}; {wanted}, "
                f"such as {at // parts}."
            )
    return f"at {at} is after 2199; {wanted}."
