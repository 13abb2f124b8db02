"""What is said about a file: a refusal, a note, a question."""

from collections.abc import Sequence
from dataclasses import dataclass

from husbandry.rules.loggers.vocabulary import Asked, Facts, Noted, Refused

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


@dataclass(frozen=True, slots=True)
class Question:
    """One thing that a person has to decide."""

    asked: Asked
    column: str
    """The heading it is about; empty for the whole file."""
    choices: tuple[str, ...]
    """Empty when the answer is free, such as a date."""
    facts: Facts
    blocking: bool = True
    """False: the first choice is taken if nobody answers, and the report says so."""


def note_of(noted: Noted, lines: Sequence[int], named: Facts = ()) -> Note:
    """Return a note about lines, of which the first twenty are kept."""
    return Note(noted, len(lines), tuple(lines[:LINES_SHOWN]), named)
