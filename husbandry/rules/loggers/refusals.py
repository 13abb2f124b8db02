"""One refused row or value, and one note, each with the lines it is about."""

from collections.abc import Sequence
from dataclasses import dataclass

from husbandry.rules.loggers.vocabulary import Facts, Noted, Refused

LINES_SHOWN = 20


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a row, or one value of it, was not taken."""

    line: int
    column: str
    """The heading of the refused value; empty when the whole row is refused."""
    value: str
    """As written."""
    reason: Refused
    facts: Facts = ()
    """What would be accepted, by name."""


@dataclass(frozen=True, slots=True)
class Note:
    """What is worth knowing about rows that were not refused."""

    noted: Noted
    count: int
    lines: tuple[int, ...]
    """The first twenty of them."""
    facts: Facts


def note_of(noted: Noted, lines: Sequence[int], named: Facts = ()) -> Note:
    """Return a note about lines, of which the first twenty are kept."""
    return Note(noted, len(lines), tuple(lines[:LINES_SHOWN]), named)
