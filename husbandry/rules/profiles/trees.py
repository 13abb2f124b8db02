"""From YAML text to a tree of nodes that know their line and column.

Only what a care profile needs of YAML is let in: one document of mappings, lists
and scalars. Anchors, aliases and tags are refused (an alias can make a small file
huge), and so is anything too large or too deep, before a tree is built of it.
"""

import re
from collections.abc import Iterator
from typing import Any

import yaml

from husbandry.rules.profiles.problems import Problem

MAX_BYTES = 262_144
MAX_DEPTH = 8
LOADER: Any = yaml.CSafeLoader if yaml.__with_libyaml__ else yaml.SafeLoader
_NO_TEXT = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]")  # fmt: skip
_EMPTY = (Problem(1, 1, "", "The file is empty; give a care profile as YAML."),)


def read_tree(text: str) -> tuple[yaml.Node | None, tuple[Problem, ...]]:
    """Return the root node of a YAML text, and what keeps it from being read.

    Args:
        text: YAML, at most 256 KiB in UTF-8; a byte order mark at its start is
            passed over.

    Returns:
        The root and no problems, or None and at least one problem.
    """
    text = text.removeprefix("\ufeff")
    problems = _refused_text(text) or _refused_yaml(text)
    if problems:
        return None, problems
    root = yaml.compose(text, Loader=LOADER)
    return root, () if root is not None else _EMPTY


def _refused_text(text: str) -> tuple[Problem, ...]:
    if not text.strip():
        return _EMPTY
    strange = _NO_TEXT.search(text)
    if strange:
        before = text[: strange.start()]
        line, column = before.count("\n") + 1, strange.start() - before.rfind("\n")
        sentence = (
            f"The character U+{ord(strange.group()):04X} cannot be part of a profile; "
            f"save the file as plain UTF-8 text."
        )
        return (Problem(line, column, "", sentence),)
    size = len(text.encode())
    if size > MAX_BYTES:
        sentence = (
            f"The file has {size:,} bytes; a care profile has at most {MAX_BYTES:,}."
        )
        return (Problem(1, 1, "", sentence),)
    return ()


def _refused_yaml(text: str) -> tuple[Problem, ...]:
    try:
        return tuple(_refused_events(text))
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        sentence = (
            f"This is not YAML: {error.problem or error.context}. Check the "
            f"indentation, the quotes and the colons here and on the line before."
        )
        return (_problem_at(mark, sentence),)


def _problem_at(mark: Any, sentence: str) -> Problem:
    """Return a problem at a mark of either loader; without one, at the start."""
    line, column = (mark.line, mark.column) if mark else (0, 0)
    return Problem(line + 1, column + 1, "", sentence)


def _refused_events(text: str) -> Iterator[Problem]:
    depth = documents = 0
    for event in yaml.parse(text, Loader=LOADER):
        documents += isinstance(event, yaml.DocumentStartEvent)
        depth += isinstance(event, yaml.CollectionStartEvent)
        depth -= isinstance(event, yaml.CollectionEndEvent)
        sentence = _refused_event(event)
        if depth > MAX_DEPTH:
            sentence = f"Nested more than {MAX_DEPTH} deep; a care profile is flatter."
        elif documents > 1:
            sentence = "A second document begins; give one profile in one file."
        if sentence:
            yield _problem_at(event.start_mark, sentence)
        if depth > MAX_DEPTH or documents > 1:
            return


def _refused_event(event: yaml.Event) -> str:
    if isinstance(event, yaml.AliasEvent):
        return f"The alias *{event.anchor} is not taken; write the value out."
    if not isinstance(event, yaml.ScalarEvent | yaml.CollectionStartEvent):
        return ""
    if event.anchor:
        return f"The anchor &{event.anchor} is not taken; write the value out."
    if event.tag:
        return f"The tag {event.tag} is not taken; write the plain value."
    return ""
