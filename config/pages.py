"""Pages of docs/ that are drawn from the code, so that they cannot fall behind."""

import inspect
from collections.abc import Callable, Iterator, Mapping, Sequence
from importlib import import_module
from typing import Any

from django.conf import settings
from django.utils.module_loading import import_string

from clutches.rules.eggs.states import MOVES as EGG_MOVES
from config.schedule import SCHEDULE, Row
from placements.rules.vocabulary import APPLICATION_MOVES
from placements.rules.vocabulary import MOVES as PLACEMENT_MOVES


def nightly() -> str:
    """Return docs/nightly.md: what happens by itself, and when."""
    return "\n".join(
        [
            "# The night",
            "",
            "Made from `config/schedule.py` by `./dev docs`. Times are UTC. The same "
            "work runs by hand: `./dev nightly` for everything that is due, "
            "`./dev nightly 2026-03-01` for one day again.",
            "",
            "| what | when | task | what it does |",
            "|---|---|---|---|",
            *(_row(row) for row in SCHEDULE),
            "",
            "Rooms above husbandry add what they see of the same night, in this order "
            "(ADR 0012):",
            "",
            "| room | function | what it does |",
            "|---|---|---|",
            *(_part(path) for path in settings.NIGHT_PARTS),
            "",
        ]
    )


def _part(path: str) -> str:
    does = (inspect.getdoc(import_string(path)) or "").splitlines()[0]
    return f"| {path.partition('.')[0]} | `{path}` | {does} |"


def _row(row: Row) -> str:
    module, name = row.task.rsplit(".", 1)
    task = getattr(import_module(module), name)
    does = (inspect.getdoc(task.run) or "").splitlines()[0]
    return f"| {row.name} | {_when(row)} | `{row.task}` | {does} |"


def _when(row: Row) -> str:
    hour = "every hour" if row.hour == "*" else f"at {row.hour} h"
    if row.minute == "*":
        return "every minute" if row.hour == "*" else f"{hour}, every minute"
    return f"{hour}, minute {row.minute}"


MACHINES: dict[str, Mapping[Any, Sequence[Any]]] = {
    "Egg": EGG_MOVES,
    "Application": APPLICATION_MOVES,
    "Placement": PLACEMENT_MOVES,
}


def states() -> str:
    """Return docs/states.md: the state machines, drawn."""
    lines = [
        "# States",
        "",
        "Made from the tables of allowed moves by `./dev docs`.",
        "",
    ]
    for name, moves in MACHINES.items():
        lines += [f"## {name}", "", "```mermaid", *_drawn(moves), "```", ""]
    return "\n".join(lines)


def _drawn(moves: Mapping[Any, Sequence[Any]]) -> Iterator[str]:
    yield "stateDiagram-v2"
    yield f"    [*] --> {next(iter(moves)).value}"
    for state, following in moves.items():
        for to in following:
            yield f"    {state.value} --> {to.value}"
        if not following:
            yield f"    {state.value} --> [*]"


PAGES: dict[str, Callable[[], str]] = {"nightly.md": nightly, "states.md": states}
