"""What a forecast of one species stands on: a published rate, own clutches, a window."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np

from clutches.rules.facts import PastClutch
from clutches.rules.forecasting.development import hatch_day
from clutches.rules.forecasting.rates import (
    Rate,
    degree_days_of,
    line_of_rates,
    supported_line,
)
from clutches.rules.forecasting.reared import (
    LeftOut,
    Reared,
    Rest,
    asked_on_day,
    reared_of,
    rest_of,
)
from clutches.rules.forecasting.spreads import (
    LEAST_FOR_SPREAD,
    Misses,
    Spread,
    spread_of,
)
from clutches.rules.forecasting.windows import hatch_rule
from clutches.rules.vocabulary import ForecastBasis
from husbandry.rules.profiles.resolving import incubation_for
from husbandry.rules.profiles.values import IncubationRule, Profile
from husbandry.rules.profiles.vocabulary import IncubationMatter

LEAST_OWN = LEAST_FOR_SPREAD


@dataclass(frozen=True, slots=True)
class Footing:
    """What the forecasts of one species stand on.

    Attributes:
        rate: None with own clutches: zero and degree-days cannot be told apart, so
            only clutches that were kept alike are taken.
        zero_stated: the zero is the profile's, not fitted.
        spread: None: no more can be said of the window's coverage.
        window_rule: the profile's row about how long eggs take, if it has one.
        rate_rule: the profile's row of degree-days, where the rate is published.
    """

    basis: ForecastBasis
    rest: Rest
    rate: Rate | None
    zero_stated: bool
    spread: Spread | None
    reared: tuple[Reared, ...]
    left_out: tuple[LeftOut, ...]
    window_rule: IncubationRule | None
    rate_rule: IncubationRule | None


def footing_of(past: Iterable[PastClutch], profile: Profile) -> Footing:
    """Return what forecasts of a species stand on.

    Args:
        past: clutches of the species that hatched; none is allowed.
        profile: of the species.

    Returns:
        In this order: zero and degree-days of the profile; at least three clutches of
        one's own that can be learned from; the profile's window.

    Source:
        ADR 0013.
    """
    rest = rest_of(profile)
    reared, left_out = reared_of(past, rest=rest)
    return footing_on(reared, profile, left_out=left_out)


def footing_on(
    reared: Sequence[Reared], profile: Profile, *, left_out: tuple[LeftOut, ...] = ()
) -> Footing:
    """Return what forecasts stand on, of clutches that were made ready.

    Args:
        reared: made ready by the same profile's rest.
        profile: of the species.
        left_out: clutches of which nothing can be learned.

    Source:
        ADR 0013.
    """
    zero_c, published = _published(profile)
    bare = Footing(
        basis=ForecastBasis.PROFILE_WINDOW,
        rest=rest_of(profile),
        rate=None,
        zero_stated=False,
        spread=None,
        reared=tuple(reared),
        left_out=left_out,
        window_rule=hatch_rule(profile),
        rate_rule=published[1] if published else None,
    )
    if published:
        return replace(
            bare,
            basis=ForecastBasis.PUBLISHED_RATE,
            rate=published[0],
            zero_stated=True,
            spread=_spread(reared, [published[0]] * len(reared)),
        )
    if len(reared) < LEAST_OWN:
        return bare
    own = replace(bare, basis=ForecastBasis.OWN_CLUTCHES)
    rate = own_rate(reared, zero_c=zero_c)
    spread = _spread(reared, _without_each(reared, zero_c)) if rate else None
    if spread is None:
        return own
    return replace(own, rate=rate, zero_stated=zero_c is not None, spread=spread)


def own_rate(reared: Sequence[Reared], *, zero_c: float | None) -> Rate | None:
    """Return the rate that own clutches support.

    Args:
        reared: which; none is allowed.
        zero_c: the zero that the profile states; None: it is to be fitted, too.

    Returns:
        None where they do not support one.

    Source:
        ADR 0013.
    """
    mean_c = np.array([one.mean_c for one in reared])
    days = np.array([one.developing_days for one in reared])
    if zero_c is None:
        return supported_line(mean_c, days)
    return degree_days_of(mean_c, days, zero_c=zero_c)


def expected_of(rate: Rate, one: Reared, among: Sequence[Reared]) -> float | None:
    """Return the day that a rate would have told of a past clutch, half-way.

    Args:
        rate: how fast embryos develop.
        one: the clutch.
        among: all that are learned from.

    Returns:
        Days since laying, not before the day on which it is asked; None: never.
    """
    day = asked_on_day(one, among)
    warmth, ahead = one.known_on(day)
    found = hatch_day(rate, warmth.hours_c, ahead, rest_days=one.rest_days)
    return None if found is None else max(found, float(day))


def _without_each(reared: Sequence[Reared], zero_c: float | None) -> list[Rate | None]:
    """Return the rate of all others for each clutch in its turn."""
    rates: list[Rate | None] = []
    for place in range(len(reared)):
        others = [*reared[:place], *reared[place + 1 :]]
        rates.append(_simple_rate(others, zero_c))
    return rates


def _simple_rate(others: Sequence[Reared], zero_c: float | None) -> Rate | None:
    """Return a rate without asking again whether all together support one."""
    mean_c = np.array([one.mean_c for one in others])
    days = np.array([one.developing_days for one in others])
    if zero_c is None:
        return line_of_rates(mean_c, days)
    return degree_days_of(mean_c, days, zero_c=zero_c)


def _spread(reared: Sequence[Reared], rates: Sequence[Rate | None]) -> Spread | None:
    rows = []
    for one, rate in zip(reared, rates, strict=True):
        expected = expected_of(rate, one, reared) if rate else None
        if expected is not None:
            rows.append([day - expected for day in (one.first, one.middle, one.last)])
    if len(rows) < len(reared) or len(rows) < LEAST_FOR_SPREAD:
        return None
    first, middle, last = np.array(rows, np.float64).T
    return spread_of(Misses(first, middle, last))


def _published(
    profile: Profile,
) -> tuple[float | None, tuple[Rate, IncubationRule] | None]:
    """Return the profile's zero, and its whole rate with the row it stands on."""
    zero = _figure(incubation_for(profile, IncubationMatter.DEVELOPMENT_ZERO_C))
    rule = incubation_for(profile, IncubationMatter.DEVELOPMENT_DEGREE_DAYS)
    total = _figure(rule)
    if zero is None:
        return None, None
    if rule is None or total is None:
        return float(zero), None
    return float(zero), (Rate(float(zero), float(total)), rule)


def _figure(rule: IncubationRule | None) -> Decimal | None:
    """Return the one figure of a row: the middle where it has two ends."""
    if rule is None:
        return None
    ends = [end for end in (rule.low, rule.high) if end is not None]
    return sum(ends, Decimal(0)) / len(ends) if ends else None
