"""Mappings of a profile's tree, read key by key; nothing wrong stops the reading.

`Pairs` hand out values of the right type whatever the text says: where a key is
missing or wrong they note a problem and hand out a stand-in, so that every other
problem is found in the same reading. Stand-ins never leave: a profile with
problems is not returned.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from enum import StrEnum
from functools import partial
from typing import Self, TypeVar

import yaml

from husbandry.rules.profiles.problems import Problem
from husbandry.rules.profiles.scalars import (
    Limits,
    RefusedError,
    as_name,
    as_number,
    as_text,
    as_truth,
    as_whole,
    as_word,
    meant,
)

T = TypeVar("T")
W = TypeVar("W", bound=StrEnum)


@dataclass(slots=True)
class Gathered:
    """What a reading gathers beside the values."""

    reviewed_on: date | None = None
    problems: list[Problem] = field(default_factory=list)
    sources_used: list[tuple[str, "Pairs"]] = field(default_factory=list)
    stages_named: list[tuple[str, "Pairs"]] = field(default_factory=list)
    rows_by_id: dict[str, "Pairs"] = field(default_factory=dict)

    def add(self, node: yaml.Node, path: str, sentence: str) -> None:
        """Note a problem where a node stands."""
        mark = node.start_mark
        self.problems.append(Problem(mark.line + 1, mark.column + 1, path, sentence))


class Pairs:
    """One mapping: asked for its keys, it remembers which and what went wrong."""

    def __init__(self, node: yaml.MappingNode, path: str, gathered: Gathered) -> None:
        """Take the mapping's keys, noting those that stand twice."""
        self.node = node
        self.path = path
        self.gathered = gathered
        self.sound = True
        self.numbers: dict[str, Decimal] = {}
        self._asked: list[str] = []
        self._keys: dict[str, yaml.Node] = {}
        self._nodes: dict[str, yaml.Node] = {}
        self._take_pairs()

    @property
    def line(self) -> int:
        """Return the line on which the mapping begins, counted from 1."""
        return int(self.node.start_mark.line) + 1

    def refuse(self, key: str, sentence: str) -> None:
        """Note a problem with a key's value, or with the whole mapping for ""."""
        self.sound = False
        node = self._nodes.get(key, self.node)
        self.gathered.add(node, self._at(key), sentence)

    def has(self, key: str) -> bool:
        """Say whether the key is there; it counts as known from now on."""
        self._asked.append(key)
        return key in self._nodes

    def take(self, key: str, read: Callable[[yaml.Node], T], instead: T) -> T:
        """Return a required value, or the stand-in after noting what is wrong."""
        if not self.has(key):
            self.refuse("", f"The key '{key}' is missing; add it.")
            return instead
        return self._read(key, read, instead)

    def take_if_there(self, key: str, read: Callable[[yaml.Node], T], default: T) -> T:
        """Return a value that may be left out, and the default where it is."""
        return self._read(key, read, default) if self.has(key) else default

    def text(self, key: str) -> str:
        """Return a required text."""
        return self.take(key, as_text, "")

    def text_if_there(self, key: str) -> str:
        """Return a text, or "" where it is left out."""
        return self.take_if_there(key, as_text, "")

    def name(self, key: str, pattern: str, example: str) -> str:
        """Return a required name."""
        return self.take(key, partial(as_name, pattern=pattern, example=example), "")

    def number(self, key: str, limits: Limits) -> Decimal:
        """Return a required exact number."""
        return self.take(key, partial(self._number, key, limits), Decimal(0))

    def number_if_there(self, key: str, limits: Limits) -> Decimal | None:
        """Return an exact number, or None where it is left out."""
        read: Callable[[yaml.Node], Decimal | None] = partial(self._number, key, limits)
        return self.take_if_there(key, read, None)

    def whole(self, key: str, limits: Limits) -> int:
        """Return a required whole number."""
        return self.take(key, partial(self._whole, key, limits), 0)

    def whole_if_there(self, key: str, limits: Limits) -> int | None:
        """Return a whole number, or None where it is left out."""
        read: Callable[[yaml.Node], int | None] = partial(self._whole, key, limits)
        return self.take_if_there(key, read, None)

    def truth(self, key: str) -> bool:
        """Return a required true or false."""
        return self.take(key, as_truth, False)  # noqa: FBT003 - a stand-in value

    def truth_if_there(self, key: str) -> bool:
        """Return true or false, and false where it is left out."""
        return self.take_if_there(key, as_truth, False)  # noqa: FBT003 - the default

    def word(self, key: str, words: type[W]) -> W:
        """Return a required word of a vocabulary."""
        return self.take(key, partial(as_word, words=words), next(iter(words)))

    def word_if_there(self, key: str, words: type[W]) -> W | None:
        """Return a word of a vocabulary, or None where it is left out."""
        read: Callable[[yaml.Node], W | None] = partial(as_word, words=words)
        return self.take_if_there(key, read, None)

    def items(self, key: str, read: Callable[[yaml.Node], T]) -> tuple[T, ...]:
        """Return the values of a list that may be left out."""
        if not self.has(key):
            return ()
        found = []
        for index, node in enumerate(self._list(key)):
            try:
                found.append(read(node))
            except RefusedError as error:
                self.sound = False
                self.gathered.add(node, f"{self._at(key)}[{index}]", str(error))
        if len(set(found)) < len(found):
            self.refuse(key, "A value stands twice in this list; keep it once.")
        return tuple(found)

    def rows(self, key: str) -> list[Self]:
        """Return the mappings of a required list, leaving out what is none."""
        if not self.has(key):
            self.refuse("", f"The key '{key}' is missing; write '{key}: []' for none.")
            return []
        return self._rows(key)

    def child(self, key: str) -> Self | None:
        """Return a mapping within this one, or None where it is left out or wrong."""
        if not self.has(key):
            return None
        return self._row(self._nodes[key], self._at(key))

    def in_order(self, low: str, high: str) -> None:
        """Note a problem where two numbers that are both there are the wrong way round."""
        if low in self.numbers and high in self.numbers:
            first, second = self.numbers[low], self.numbers[high]
            if first > second:
                self.refuse(
                    low,
                    f"'{low}' is {first}, more than '{high}', {second}; "
                    f"give the smaller one first.",
                )

    def done(self) -> None:
        """Note the keys that nobody asked for."""
        known = sorted(set(self._asked))
        for key, node in self._keys.items():
            if key not in known:
                self.sound = False
                sentence = (
                    f"The key {key!r} is not known here{meant(key, known)}. "
                    f"Accepted: {', '.join(known)}."
                )
                self.gathered.add(node, self._at(key), sentence + self._hint(key))

    def _hint(self, key: str) -> str:
        """Return what helps where a comma inside braces has cut a text in two."""
        value = self._nodes[key]
        if (
            self.node.flow_style
            and isinstance(value, yaml.ScalarNode)
            and not value.value
        ):
            return " If it belongs to the text before it, put that text in quotes."
        return ""

    def _take_pairs(self) -> None:
        for key_node, node in self.node.value:
            if not isinstance(key_node, yaml.ScalarNode):
                self.sound = False
                self.gathered.add(key_node, self.path, "A key must be a plain word.")
                continue
            key = str(key_node.value)
            if key in self._nodes:
                self.sound = False
                first = self._keys[key].start_mark.line + 1
                sentence = f"The key '{key}' stands on line {first} too; keep one."
                self.gathered.add(key_node, self._at(key), sentence)
                continue
            self._keys[key], self._nodes[key] = key_node, node

    def _at(self, key: str) -> str:
        return ".".join(part for part in (self.path, key) if part)

    def _read(self, key: str, read: Callable[[yaml.Node], T], instead: T) -> T:
        try:
            return read(self._nodes[key])
        except RefusedError as error:
            self.refuse(key, str(error))
            return instead

    def _number(self, key: str, limits: Limits, node: yaml.Node) -> Decimal:
        self.numbers[key] = as_number(node, limits)
        return self.numbers[key]

    def _whole(self, key: str, limits: Limits, node: yaml.Node) -> int:
        found = as_whole(node, limits)
        self.numbers[key] = Decimal(found)
        return found

    def _list(self, key: str) -> list[yaml.Node]:
        node = self._nodes[key]
        if isinstance(node, yaml.SequenceNode):
            return list(node.value)
        self.refuse(key, f"'{key}' is no list; write its items behind dashes.")
        return []

    def _rows(self, key: str) -> list[Self]:
        found = [
            self._row(node, f"{self._at(key)}[{index}]")
            for index, node in enumerate(self._list(key))
        ]
        return [row for row in found if row is not None]

    def _row(self, node: yaml.Node, path: str) -> Self | None:
        if isinstance(node, yaml.MappingNode):
            return type(self)(node, path, self.gathered)
        self.sound = False
        self.gathered.add(node, path, "Here must stand key: value pairs.")
        return None
