"""How a benchmark measures and what it prints.

Absolute times change from machine to machine and with whatever else runs there.
So the work and its floor (the least that any program could need for it) take
turns in one run, and the goal is a ratio.
"""

import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from statistics import median
from time import perf_counter

REPEATS = 5


@dataclass(frozen=True, slots=True)
class Figure:
    """One measured figure beside its floor.

    Attributes:
        name: what was measured.
        value: what it took, in `unit`.
        floor: what the floor took, or the yardstick where nothing is beneath.
        goal: the highest ratio that is good enough; None: only told.
        beneath: what the floor is.
        unit: of value and floor.
    """

    name: str
    value: float
    floor: float
    goal: float | None
    beneath: str
    unit: str = "ms"

    @property
    def ratio(self) -> float:
        """Return value by floor."""
        return self.value / self.floor

    @property
    def met(self) -> bool:
        """Say whether the goal is met; a figure without a goal always is."""
        return self.goal is None or self.ratio <= self.goal

    def line(self) -> str:
        """Return the figure as it is printed."""
        goal = "no goal" if self.goal is None else f"goal ≤ {self.goal:g}"
        verdict = "" if self.goal is None else "met" if self.met else "MISSED"
        return (
            f"{self.name:<52} {self.value:9.1f} {self.unit:<3} "
            f"{self.ratio:6.2f} × {self.floor:8.1f}  {goal:<10} {verdict:<6} "
            f"({self.beneath})"
        )


def side_by_side(
    works: Mapping[str, Callable[[], object]], *, repeats: int = REPEATS
) -> dict[str, float]:
    """Run works in turns and return the median of each in milliseconds.

    The first round warms up and does not count.
    """
    taken: dict[str, list[float]] = {name: [] for name in works}
    for round_number in range(repeats + 1):
        for name, work in works.items():
            began = perf_counter()
            work()
            if round_number:
                taken[name].append((perf_counter() - began) * 1000)
    return {name: median(times) for name, times in taken.items()}


def fastest(work: Callable[[], object], *, repeats: int = REPEATS) -> float:
    """Return the least that a work took, in milliseconds.

    For works that cannot take turns, such as two sizes of one database: the least
    is what other programs disturb the least.
    """
    taken = []
    for _ in range(repeats):
        began = perf_counter()
        work()
        taken.append((perf_counter() - began) * 1000)
    return min(taken)


def progress(sentence: str) -> None:
    """Say what is being done, beside the figures."""
    sys.stderr.write(f"  … {sentence}\n")
    sys.stderr.flush()
