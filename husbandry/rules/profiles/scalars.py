"""From one YAML scalar to one value, or a sentence that says what is wrong.

Numbers are read from their text: a `Decimal` never passes through a float, and
what YAML would take for something else (`yes`, `1:30`, `0x1F`) is no number here.
"""

import re
from datetime import date
from decimal import Decimal
from difflib import get_close_matches
from enum import StrEnum
from typing import NamedTuple, TypeVar

import yaml

W = TypeVar("W", bound=StrEnum)
MAX_TEXT = 1500
_NUMBER = re.compile(r"-?(0|[1-9][0-9]{0,5})(\.[0-9]+)?")
_WHOLE = re.compile(r"0|[1-9][0-9]{0,5}")
_DAY = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
_STRING_TAG = "tag:yaml.org,2002:str"


class RefusedError(ValueError):
    """A scalar is not what is wanted; the message is the sentence."""


class Limits(NamedTuple):
    """The least and the greatest number that can be meant, and their unit."""

    low: Decimal
    high: Decimal
    unit: str
    decimals: int = 3
    """So many after the point; three are what the database keeps."""

    def check(self, value: Decimal | int) -> None:
        """Refuse a number outside the limits.

        Raises:
            RefusedError: with the limits.
        """
        if not self.low <= value <= self.high:
            raise RefusedError(
                f"{value} cannot be meant; give {self.low} to {self.high} {self.unit}."
            )


def limits(low: str, high: str, unit: str, decimals: int = 3) -> Limits:
    """Return limits from numbers written as text."""
    return Limits(Decimal(low), Decimal(high), unit, decimals)


def as_text(node: yaml.Node) -> str:
    """Return a text, its white space made single spaces.

    Raises:
        RefusedError: no text, an empty one, or one of more than 1500 characters.
    """
    value = _scalar(node, "a text")
    if node.tag != _STRING_TAG:
        raise RefusedError(
            f"{value!r} is not read as text; put it in quotes."
            if value
            else "The value is missing; write a text behind the colon."
        )
    text = " ".join(value.split())
    if not text:
        raise RefusedError("The text is empty; write something, or leave the key out.")
    if len(text) > MAX_TEXT:
        raise RefusedError(
            f"The text has {len(text)} characters; keep it to {MAX_TEXT}."
        )
    return text


def as_name(node: yaml.Node, pattern: str, example: str) -> str:
    """Return a name that scripts can rely on.

    Args:
        node: the scalar.
        pattern: what the whole of it must match.
        example: of a name that does.

    Raises:
        RefusedError: it does not match, or has more than 60 characters.
    """
    value = _scalar(node, "a name")
    if not re.fullmatch(pattern, value) or len(value) > 60:
        raise RefusedError(
            f"{value!r} is no name; write lower-case letters, digits and joints, at "
            f"most 60 characters, such as {example}."
        )
    return value


def as_number(node: yaml.Node, limits: Limits) -> Decimal:
    """Return an exact number.

    Args:
        node: a plain scalar.
        limits: what can be meant, and with how many decimals.

    Raises:
        RefusedError: text, another spelling of a number, too many decimals, or
            outside the limits.
    """
    value = _plain(node, _NUMBER, "a number", "26.7, with a point")
    given = len(value.partition(".")[2])
    if given > limits.decimals:
        raise RefusedError(
            f"{value} is no number of at most {limits.decimals} decimals; round it."
        )
    number = Decimal(value)
    limits.check(number)
    return number


def as_whole(node: yaml.Node, limits: Limits) -> int:
    """Return a whole number from 0.

    Args:
        node: a plain scalar.
        limits: what can be meant.

    Raises:
        RefusedError: text, a fraction, or outside the limits.
    """
    number = int(_plain(node, _WHOLE, "a whole number", "14"))
    limits.check(number)
    return number


def as_truth(node: yaml.Node) -> bool:
    """Return true or false.

    Raises:
        RefusedError: anything but these two words.
    """
    value = _scalar(node, "true or false")
    if value not in {"true", "false"} or node.tag == _STRING_TAG:
        raise RefusedError(f"{value!r} is neither true nor false; write one of them.")
    return value == "true"


def as_day(node: yaml.Node) -> date:
    """Return a calendar day.

    Raises:
        RefusedError: another spelling, or a day that does not exist.
    """
    value = _scalar(node, "a day")
    parts = _DAY.fullmatch(value)
    try:
        year, month, day = parts.groups() if parts else ("0", "0", "0")
        return date(int(year), int(month), int(day))
    except ValueError:
        raise RefusedError(
            f"{value!r} is no day; write year, month and day, such as 2026-03-31."
        ) from None


def as_word(node: yaml.Node, words: type[W]) -> W:
    """Return a word of a vocabulary.

    Args:
        node: the scalar.
        words: the vocabulary.

    Raises:
        RefusedError: with all the words, and the one that was perhaps meant.
    """
    value = _scalar(node, "a word")
    known = [word.value for word in words]
    if value not in known:
        raise RefusedError(
            f"{value!r} is not known here{meant(value, known)}. "
            f"Accepted: {', '.join(known)}."
        )
    return words(value)


def meant(value: str, known: list[str]) -> str:
    """Return a hint at the nearest known word, or nothing."""
    near = get_close_matches(value, known, n=1)
    return f"; {near[0]!r} is perhaps meant" if near else ""


def _scalar(node: yaml.Node, wanted: str) -> str:
    if not isinstance(node, yaml.ScalarNode):
        found = "a list" if isinstance(node, yaml.SequenceNode) else "key: value pairs"
        raise RefusedError(f"Here stand {found}; write {wanted}.")
    return str(node.value)


def _plain(node: yaml.Node, pattern: re.Pattern[str], wanted: str, example: str) -> str:
    value = _scalar(node, wanted)
    if not pattern.fullmatch(value):
        raise RefusedError(f"{value!r} is no {wanted[2:]}; write it as {example}.")
    if isinstance(node, yaml.ScalarNode) and node.style:
        raise RefusedError(f"{value!r} is text; write {wanted} without quotes.")
    return value
