"""Pages of docs/ that are drawn from the code, so that they cannot fall behind."""

import inspect
from collections.abc import Callable
from importlib import import_module

from config.schedule import SCHEDULE, Row
from placements.rules.vocabulary import MOVES


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
        ]
    )


def _row(row: Row) -> str:
    module, name = row.task.rsplit(".", 1)
    task = getattr(import_module(module), name)
    does = (inspect.getdoc(task.run) or "").splitlines()[0]
    hour = "every hour" if row.hour == "*" else f"at {row.hour} h"
    return f"| {row.name} | {hour}, minute {row.minute} | `{row.task}` | {does} |"


def states() -> str:
    """Return docs/states.md: the state machines, drawn."""
    lines = [
        "# States",
        "",
        "Made from the tables of allowed moves by `./dev docs`.",
        "",
        "## Placement",
        "",
        "```mermaid",
        "stateDiagram-v2",
        f"    [*] --> {next(iter(MOVES)).value}",
    ]
    for state, following in MOVES.items():
        lines += [f"    {state.value} --> {to.value}" for to in following]
        if not following:
            lines.append(f"    {state.value} --> [*]")
    return "\n".join([*lines, "```", ""])


PAGES: dict[str, Callable[[], str]] = {"nightly.md": nightly, "states.md": states}
