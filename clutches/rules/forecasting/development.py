"""Degree-days add up hour by hour, and at their sum the eggs hatch."""

from collections.abc import Sequence

import numpy as np

from clutches.rules.facts import Floats
from clutches.rules.forecasting.rates import Rate
from clutches.rules.forecasting.warmth import DAY_HOURS, Ahead


def degree_days(rate: Rate, hours_c: Floats, *, rest_days: float) -> Floats:
    """Return the degree-days that were done by the end of each hour since laying.

    Args:
        rate: development stands still at and below its zero.
        hours_c: °C of each hour since laying, without gaps.
        rest_days: for how long embryos rest first, in days; nothing adds up then.

    Returns:
        float64, never falling.

    Source:
        takydromus-2005 for the rate; ADR 0013 for the rest.
    """
    gained = np.maximum(hours_c - rate.zero_c, 0.0) / DAY_HOURS
    gained[: round(rest_days * DAY_HOURS)] = 0.0
    return np.asarray(np.cumsum(gained), np.float64)


def hatch_day(
    rate: Rate, hours_c: Floats, ahead: Sequence[Ahead], *, rest_days: float
) -> float | None:
    """Return on which day since laying development is done.

    Args:
        rate: how fast they develop.
        hours_c: °C of each hour since laying until now, without gaps.
        ahead: what is to come, in order, each going on where the last one ends.
        rest_days: for how long embryos rest first, in days.

    Returns:
        Days since laying, with fractions; None where it stays too cool for ever.
        Warmer hours never make it later.

    Source:
        takydromus-2005 for the rate; ADR 0013 for the rest.
    """
    done = degree_days(rate, hours_c, rest_days=rest_days)
    if len(done) and done[-1] >= rate.degree_days:
        hour = int(np.searchsorted(done, rate.degree_days))
        before = float(done[hour - 1]) if hour else 0.0
        part = (rate.degree_days - before) / (float(done[hour]) - before)
        return (hour + part) / DAY_HOURS
    left = rate.degree_days - (float(done[-1]) if len(done) else 0.0)
    for spell in ahead:
        begin = max(spell.from_hour, round(rest_days * DAY_HOURS))
        above = spell.celsius - rate.zero_c
        if above <= 0 or spell.until_hour <= begin:
            continue
        end = begin + DAY_HOURS * left / above
        if end <= spell.until_hour:
            return end / DAY_HOURS
        left -= above * (spell.until_hour - begin) / DAY_HOURS
    return None
