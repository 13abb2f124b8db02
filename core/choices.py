"""Lend a vocabulary's words to a model field."""

from enum import StrEnum


def choices(words: type[StrEnum]) -> list[tuple[str, str]]:
    """Return `(code, label)` pairs of a vocabulary, in its own order.

    Django takes a bare `StrEnum` for a callable, hence this list.
    """
    return [(word.value, word.value.replace("_", " ")) for word in words]
