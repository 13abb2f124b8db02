"""From a footing and how warm eggs were to a window in days."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

import numpy as np

from clutches.rules.forecasting.development import degree_days, hatch_day
from clutches.rules.forecasting.footings import Footing
from clutches.rules.forecasting.rates import Rate
from clutches.rules.forecasting.reared import Reared
from clutches.rules.forecasting.spreads import COVERAGE, Misses, Spread, spread_of
from clutches.rules.forecasting.warmth import DAY_HOURS, Ahead, Warmth
from clutches.rules.forecasting.windows import WindowDays
from clutches.rules.vocabulary import ForecastBasis

ALIKE_C = 0.5
EARLY_SHARE, LATE_SHARE = 0.85, 1.10


@dataclass(frozen=True, slots=True)
class Told:
    """A window in days since laying, with what made it.

    Attributes:
        basis: on which it stands, after all.
        coverage: None: not known.
        development: share of development done; None: not known.
        spread: None: no own clutches made the window.
        mean_c: °C expected from the end of the rest on, where that chose clutches.
        why: why it does not stand on the species' footing; "" where it does.
    """

    basis: ForecastBasis
    days: WindowDays
    coverage: float | None
    development: float | None
    spread: Spread | None
    mean_c: float | None = None
    why: str = ""


def window_told(
    footing: Footing, warmth: Warmth | None, ahead: Sequence[Ahead]
) -> Told | str:
    """Return the window of one clutch by what its species' forecasts stand on.

    Args:
        footing: of the species.
        warmth: since laying; None: not known.
        ahead: what is to come; empty: nobody knows.

    Returns:
        Why none can be told, where that is so: `few_clutches`, `not_measured`,
        `too_cool` (they would never hatch) or `kept_otherwise` (fewer than three
        clutches were kept within half a degree of this one).

    Source:
        ADR 0013; the shares about a published rate: hatch-forecast-convention,
        after booth-2022.
    """
    if footing.basis is ForecastBasis.PROFILE_WINDOW:
        return "few_clutches"
    if warmth is None or not ahead:
        return "not_measured"
    if footing.rate is None:
        return _by_alike(footing, warmth, ahead)
    return _by_rate(footing, footing.rate, warmth, ahead)


def _by_rate(
    footing: Footing, rate: Rate, warmth: Warmth, ahead: Sequence[Ahead]
) -> Told | str:
    rest, hours_c = footing.rest, warmth.hours_c
    expected = hatch_day(rate, hours_c, ahead, rest_days=rest.middle)
    if expected is None:
        return "too_cool"
    done = degree_days(rate, hours_c, rest_days=rest.middle)
    development = min(float(done[-1]) / rate.degree_days, 1.0) if len(done) else 0.0
    if footing.spread is not None:
        days = footing.spread.around(expected)
        coverage = float(COVERAGE)
        return Told(footing.basis, days, coverage, development, footing.spread)
    early, late = (
        hatch_day(
            Rate(rate.zero_c, rate.degree_days * share), hours_c, ahead, rest_days=days
        )
        for share, days in ((EARLY_SHARE, rest.low), (LATE_SHARE, rest.high))
    )
    if early is None or late is None:
        return "too_cool"
    return Told(
        footing.basis, WindowDays(early, expected, late), None, development, None
    )


def _by_alike(footing: Footing, warmth: Warmth, ahead: Sequence[Ahead]) -> Told | str:
    mean_c = _mean_expected(footing, warmth, ahead)
    alike = kept_alike(footing.reared, mean_c=mean_c)
    took = np.array([(r.first, r.middle, r.last) for r in alike], np.float64)
    spread = spread_of(Misses(*took.reshape(-1, 3).T))
    if spread is None:
        return "kept_otherwise"
    days = spread.around(0.0)
    return Told(footing.basis, days, float(COVERAGE), None, spread, mean_c)


def kept_alike(reared: Sequence[Reared], *, mean_c: float) -> tuple[Reared, ...]:
    """Return the clutches that were kept within half a degree of a temperature.

    Args:
        reared: which hatched.
        mean_c: °C, from the end of the rest to hatching.

    Source:
        hatch-forecast-convention.
    """
    return tuple(r for r in reared if abs(r.mean_c - mean_c) <= ALIKE_C)


def _mean_expected(footing: Footing, warmth: Warmth, ahead: Sequence[Ahead]) -> float:
    """Return the mean °C from the end of the rest until clutches usually hatch."""
    begin = round(footing.rest.middle * DAY_HOURS)
    end = max(round(median(r.middle for r in footing.reared) * DAY_HOURS), begin + 1)
    past_c = warmth.hours_c[begin:end]
    total, hours = float(past_c.sum()), float(len(past_c))
    for spell in ahead:
        length = min(end, spell.until_hour) - max(begin, spell.from_hour)
        if length > 0:
            total, hours = total + length * spell.celsius, hours + length
    return total / hours
