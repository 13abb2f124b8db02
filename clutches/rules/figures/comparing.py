"""Whether groups of hatchlings survive differently, said with due care."""

from collections.abc import Mapping
from dataclasses import dataclass

from clutches.rules.figures.counting import watched
from clutches.rules.figures.facts import BreedingRows
from clutches.rules.statistics import Comparison, log_rank

LEAST = 5
"""Groups with fewer hatchlings are left out of a comparison."""


@dataclass(frozen=True, slots=True)
class Survivals:
    """How groups compare.

    Attributes:
        groups: names of those that were compared.
        left_out: names of those with fewer than five hatchlings.
        comparison: None: fewer than two groups are large enough.
    """

    groups: tuple[str, ...]
    left_out: tuple[str, ...]
    comparison: Comparison | None


def compare_survival(groups: Mapping[str, BreedingRows]) -> Survivals:
    """Compare how the hatchlings of groups survive.

    A small p says that so large a difference is rare by chance, not why there is
    one; who compares twenty things finds one such by chance alone; and the test takes
    animals for independent, which clutch-mates are not.

    Args:
        groups: by name.

    Source:
        mantel-1966; five hatchlings a group are a House rule.
    """
    lives = {name: watched(rows.hatchlings) for name, rows in groups.items()}
    large = {n: life for n, life in lives.items() if len(life[0]) >= LEAST}
    small = tuple(n for n, life in lives.items() if 0 < len(life[0]) < LEAST)
    if len(large) < 2:
        return Survivals(tuple(large), small, None)
    return Survivals(tuple(large), small, log_rank(list(large.values())))
