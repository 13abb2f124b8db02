"""How warm eggs were and will be: hours that nobody measured are bridged and counted."""

from dataclasses import dataclass
from itertools import accumulate
from math import inf

import numpy as np

from clutches.rules.facts import Floats, PhasePlan, Track
from clutches.rules.incubation.phases import set_point_c

DAY_HOURS = 24
SHORT_GAP_HOURS = 24
LAST_HOURS = 7 * DAY_HOURS
LIGHT_SHARE = 0.5
"""Nobody tells the forecast of an incubator's lights; most plans need none."""


@dataclass(frozen=True, slots=True)
class Warmth:
    """°C of each hour since laying, without gaps.

    Attributes:
        hours_c: float64.
        known: how many of them were measured.
    """

    hours_c: Floats
    known: int

    @property
    def measured(self) -> float:
        """Return the share of hours that were measured; 0 of none."""
        return self.known / len(self.hours_c) if len(self.hours_c) else 0.0


@dataclass(frozen=True, slots=True)
class Ahead:
    """What is to come: from an hour since laying on, until another, this warm."""

    from_hour: int
    until_hour: float
    celsius: float


def wanted_hours(plan: PhasePlan, *, hours: int) -> Floats:
    """Return what a plan aims at, for each of the first hours since laying.

    Args:
        plan: with at least one phase; after its end the last phase goes on.
        hours: how many.

    Returns:
        float64, °C.

    Source:
        ADR 0013.
    """
    points = np.array([set_point_c(p, light_share=LIGHT_SHARE) for p in plan.phases])
    ends = np.cumsum([inf if p.days is None else p.days for p in plan.phases])
    days = np.arange(hours) // DAY_HOURS
    places = np.searchsorted(ends, days, side="right")
    return np.asarray(points[np.minimum(places, len(points) - 1)], np.float64)


def bridged(track: Track, *, plan: PhasePlan | None) -> Warmth | None:
    """Fill the hours that nobody measured.

    Args:
        track: since laying.
        plan: how the eggs are kept; None: not said.

    Returns:
        Gaps of up to a day are bridged straight from what was measured before to what
        was measured after; at an end, by the one that is there. Longer ones are taken
        to have been at the plan's set point; without a plan they are bridged like
        short ones. None: nothing was measured and there is no plan.

    Source:
        ADR 0013.
    """
    hours_c = track.hours_c
    known = np.flatnonzero(np.isfinite(hours_c))
    if not len(known):
        if plan is None:
            return None
        return Warmth(wanted_hours(plan, hours=len(hours_c)), 0)
    filled = np.interp(np.arange(len(hours_c)), known, hours_c[known])
    if plan is not None and len(known) < len(hours_c):
        far = _in_long_gap(np.isnan(hours_c))
        filled = np.where(far, wanted_hours(plan, hours=len(hours_c)), filled)
    return Warmth(filled, len(known))


def _in_long_gap(missing: np.ndarray) -> np.ndarray:
    edges = np.diff(np.concatenate(([0], missing.view(np.int8), [0])))
    begins, ends = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    far = np.zeros(len(missing), np.bool_)
    for begin, end in zip(begins, ends, strict=True):
        far[begin:end] = end - begin > SHORT_GAP_HOURS
    return far


def ahead_by_plan(plan: PhasePlan, *, from_hour: int) -> tuple[Ahead, ...]:
    """Return what a plan has in store, phase by phase, from an hour since laying on."""
    lengths = [inf if p.days is None else DAY_HOURS * p.days for p in plan.phases[:-1]]
    begins = [0, *accumulate(lengths)]
    return tuple(
        Ahead(
            max(int(begin), from_hour),
            end,
            set_point_c(phase, light_share=LIGHT_SHARE),
        )
        for phase, begin, end in zip(
            plan.phases, begins, [*begins[1:], inf], strict=True
        )
        if begin < inf and end > from_hour
    )


def ahead_as_lately(warmth: Warmth) -> tuple[Ahead, ...]:
    """Return that it goes on as warm as it was on average in the last seven days.

    Args:
        warmth: of at least one hour; none: nothing is known of what is to come.
    """
    if not len(warmth.hours_c):
        return ()
    mean_c = float(warmth.hours_c[-LAST_HOURS:].mean())
    return (Ahead(len(warmth.hours_c), inf, mean_c),)
