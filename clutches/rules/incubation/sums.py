"""How long and how far a probe was outside what eggs want: asked of the day kernel."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from clutches.rules.incubation.climate import Bounds, IncubatorClimate, ProbeClimate
from clutches.rules.incubation.wishes import Wish
from husbandry.rules.conditions import (
    MISSING,
    PERIODS,
    Band,
    NightConditions,
    NightPlan,
    Readings,
    summarise,
)
from husbandry.rules.night.planning import milli
from husbandry.rules.vocabulary import Period, Quantity

WANTED, HARD = 0, 1


@dataclass(frozen=True, slots=True)
class Outside:
    """Time on one side of a band, and past the hard limit of that side.

    Attributes:
        kelvin_s: how far × how long, K·s.
        extreme_c: the lowest or highest value; None: nothing was measured.
        past_hard_s: seconds past the hard limit; 0 where none is said.
    """

    seconds: int
    longest_s: int
    kelvin_s: float
    extreme_c: float | None
    past_hard_s: int


@dataclass(frozen=True, slots=True)
class Sum:
    """What one probe's day, or a part of it, adds up to beside one wish."""

    wish: Wish
    probe: ProbeClimate
    period: Period | None
    covered_s: int
    expected_s: int
    mean_c: float | None
    below: Outside
    above: Outside


def sums_of(wishes: Sequence[Wish], climate: IncubatorClimate) -> tuple[Sum, ...]:
    """Sum each wish up over the probes that tell how warm its eggs are.

    Args:
        wishes: what is wanted in which incubator.
        climate: what was measured there.

    Returns:
        One for each wish, probe and part of the day, in that order; a part that the
        day does not have is left out.

    Source:
        ADR 0002.
    """
    asked = [
        (wish, probe) for wish in wishes for probe in climate.among_eggs(wish.incubator)
    ]
    plan = NightPlan.of(
        bounds=[_bounds(wish, climate) for wish, _ in asked],
        hold_s=[probe.hold_s for _, probe in asked],
        bands=[
            band
            for place, (wish, _) in enumerate(asked)
            for band in _bands(place, wish)
        ],
    )
    found = summarise(_readings([probe for _, probe in asked]), plan)
    return tuple(
        _sum(found, place, wish, probe, period)
        for place, (wish, probe) in enumerate(asked)
        for period in wish.periods
        if found.expected_s[_row(place, WANTED, period)]
    )


def _bounds(wish: Wish, climate: IncubatorClimate) -> Bounds:
    """Return how the day is cut, while the eggs were there."""
    _, on_s, off_s, _ = climate.bounds[wish.incubator]
    from_s, until_s = wish.from_s, wish.until_s
    if wish.whole_day:
        return from_s, from_s, until_s, until_s
    on_s, off_s = (min(max(at_s, from_s), until_s) for at_s in (on_s, off_s))
    return from_s, on_s, off_s, until_s


def _bands(place: int, wish: Wish) -> tuple[Band, Band]:
    phase, plan = wish.phase, wish.plan
    hard = (milli(plan.hard_low_c), milli(plan.hard_high_c))
    wanted = (
        *(milli(phase.day_low_c), milli(phase.day_high_c)),
        *(milli(phase.night_low_c), milli(phase.night_high_c)),
    )
    return (
        Band(place, Quantity.TEMPERATURE_C, WANTED, *wanted),
        Band(place, Quantity.TEMPERATURE_C, HARD, *hard, *hard),
    )


def _readings(probes: Sequence[ProbeClimate]) -> Readings:
    """Lay the readings out for the kernel, once for each time they are asked for."""
    counts = [len(probe.at_s) for probe in probes]
    nothing = np.full(sum(counts), MISSING, np.int32)
    empty = np.empty(0, np.int64)
    return Readings(
        probe=np.repeat(np.arange(len(probes)), counts).astype(np.int32),
        at=np.concatenate([empty, *(probe.at_s for probe in probes)]),
        temperature=np.concatenate(
            [empty, *(probe.milli_c for probe in probes)]
        ).astype(np.int32),
        humidity=nothing,
        uv_index=nothing,
    )


def _row(place: int, band: int, period: Period | None) -> int:
    """Return where the kernel answers: bands in order, day before night."""
    return 4 * place + 2 * band + PERIODS.index(period or Period.DAY)


def _sum(
    c: NightConditions,
    place: int,
    wish: Wish,
    probe: ProbeClimate,
    period: Period | None,
) -> Sum:
    row, hard = _row(place, WANTED, period), _row(place, HARD, period)
    covered_s = int(c.covered_s[row])
    return Sum(
        wish=wish,
        probe=probe,
        period=period,
        covered_s=covered_s,
        expected_s=int(c.expected_s[row]),
        mean_c=round(float(c.mean()[row]), 3) if covered_s else None,
        below=Outside(
            seconds=int(c.below_s[row]),
            longest_s=int(c.longest_below_s[row]),
            kelvin_s=int(c.below_milli_s[row]) / 1000,
            extreme_c=_celsius(int(c.lowest_milli[row])),
            past_hard_s=int(c.below_s[hard]),
        ),
        above=Outside(
            seconds=int(c.above_s[row]),
            longest_s=int(c.longest_above_s[row]),
            kelvin_s=int(c.above_milli_s[row]) / 1000,
            extreme_c=_celsius(int(c.highest_milli[row])),
            past_hard_s=int(c.above_s[hard]),
        ),
    )


def _celsius(milli_c: int) -> float | None:
    return None if milli_c == MISSING else milli_c / 1000


def band_of(wish: Wish, period: Period | None) -> tuple[Decimal, Decimal]:
    """Return the band of a part of the day, in °C."""
    phase = wish.phase
    if period is Period.NIGHT:
        return phase.night_low_c, phase.night_high_c
    return phase.day_low_c, phase.day_high_c
