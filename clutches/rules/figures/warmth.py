"""How warm it was on the whole along a way, for tens of thousands of ways at once."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from clutches.rules.facts import BoxSpell, Floats

HOUR_S = 3600
Counts: TypeAlias = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Sums:
    """What was measured in one incubator from the beginning until each hour.

    Attributes:
        total: sum of the hours that were measured before each hour, °C, and one more
            for the end.
        known: how many these are.
    """

    total: Floats
    known: Counts


@dataclass(frozen=True, slots=True)
class Mean:
    """How warm it was, and how much of the time is known.

    Attributes:
        mean_c: None: no hour was measured.
        measured: share of the hours that were, 0 to 1.
    """

    mean_c: float | None
    measured: float


def summed(hours_c: Floats) -> Sums:
    """Return the running sums of one incubator.

    Args:
        hours_c: mean °C of each hour; NaN where none was measured.
    """
    finite = np.isfinite(hours_c)
    return Sums(
        np.concatenate(([0.0], np.cumsum(np.where(finite, hours_c, 0.0)))),
        np.concatenate(([0], np.cumsum(finite, dtype=np.int64))),
    )


def mean_over(
    spells: Sequence[BoxSpell],
    warmth: Mapping[int, Sums],
    *,
    base_s: int,
    until_s: int,
) -> Mean:
    """Return how warm it was along some spells, each hour counting once.

    Args:
        spells: in order, without gaps; none: nothing is known.
        warmth: by incubator; one that is absent was not measured.
        base_s: epoch second at which the first hour of `warmth` begins.
        until_s: epoch second at which the last spell ends.

    Source:
        House rule, no source: an hour within which a box was moved is told by the
        incubator it came to, as in forecasts.
    """
    if not spells:
        return Mean(None, 0.0)
    last = (until_s - base_s) // HOUR_S
    starts = [min((spell.from_s - base_s) // HOUR_S, last) for spell in spells]
    total, known = 0.0, 0
    for spell, begin, end in zip(spells, starts, [*starts[1:], last], strict=True):
        sums = warmth.get(spell.incubator) if spell.incubator is not None else None
        if sums is not None:
            total += float(sums.total[end] - sums.total[begin])
            known += int(sums.known[end] - sums.known[begin])
    hours = last - starts[0]
    return Mean(total / known if known else None, known / hours if hours else 0.0)
