"""Clutches of one's own that hatched, made ready to learn from."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from statistics import median

import numpy as np

from clutches.rules.facts import Floats, PastClutch, Track
from clutches.rules.forecasting.warmth import (
    DAY_HOURS,
    Ahead,
    Warmth,
    ahead_as_lately,
    bridged,
)
from husbandry.rules.profiles.resolving import incubation_for
from husbandry.rules.profiles.values import Profile
from husbandry.rules.profiles.vocabulary import IncubationMatter

LEAST_MEASURED = 0.8
LEAST_DEVELOPING_DAYS = 1


@dataclass(frozen=True, slots=True)
class Rest:
    """For how many days embryos rest after laying; 0 where no rest is on record."""

    low: float
    high: float

    @property
    def middle(self) -> float:
        """Return the middle, from which development is reckoned."""
        return (self.low + self.high) / 2


@dataclass(frozen=True, slots=True)
class Reared:
    """One clutch that hatched; days since laying.

    Attributes:
        first, middle, last: of its first, its median and its last egg.
        rest_days: when development is reckoned to begin.
        hours_c: °C of each hour until its median egg hatched, without gaps.
        measured: share of them that was measured.
        mean_c: mean °C from the end of the rest until its median egg hatched.
    """

    code: str
    laid_on: date
    first: int
    middle: float
    last: int
    rest_days: float
    hours_c: Floats
    measured: float
    mean_c: float

    @property
    def developing_days(self) -> float:
        """Return how long development took, as it is reckoned."""
        return self.middle - self.rest_days

    def known_on(self, day: int) -> tuple[Warmth, tuple[Ahead, ...]]:
        """Return what was known on a day since laying, and what was then to come.

        Args:
            day: at least 1; what is to come is as the seven days before it.
        """
        hours_c = self.hours_c[: day * DAY_HOURS]
        warmth = Warmth(hours_c, len(hours_c))
        return warmth, ahead_as_lately(warmth)


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A clutch from which nothing can be learned, and why.

    Attributes:
        why: `not_measured`: less than 80 % of its hours; `hatched_within_rest`.
    """

    code: str
    why: str


def rest_of(profile: Profile) -> Rest:
    """Return for how long a profile says that embryos rest after laying.

    Args:
        profile: where it names one end only, that one is both.
    """
    rule = incubation_for(profile, IncubationMatter.DIAPAUSE_DAYS)
    if rule is None:
        return Rest(0, 0)
    ends = [float(end) for end in (rule.low, rule.high) if end is not None]
    return Rest(min(ends, default=0), max(ends, default=0))


def reared_of(
    past: Iterable[PastClutch], *, rest: Rest
) -> tuple[tuple[Reared, ...], tuple[LeftOut, ...]]:
    """Return the clutches that can be learned from, and those that cannot.

    Args:
        past: of one species; each with at least one egg that hatched.
        rest: for how long its embryos rest.

    Returns:
        Both in the given order.

    Source:
        ADR 0013.
    """
    used, left_out = [], []
    for one in past:
        reared = _reared(one, rest)
        if isinstance(reared, LeftOut):
            left_out.append(reared)
        else:
            used.append(reared)
    return tuple(used), tuple(left_out)


def _reared(one: PastClutch, rest: Rest) -> Reared | LeftOut:
    middle = float(median(one.hatch_days))
    if middle - rest.middle < LEAST_DEVELOPING_DAYS:
        return LeftOut(one.clutch_code, "hatched_within_rest")
    hours = round(middle * DAY_HOURS)
    hours_c = one.track.hours_c[:hours]
    hours_c = np.concatenate((hours_c, np.full(hours - len(hours_c), np.nan)))
    warmth = bridged(Track(one.track.start_s, hours_c), plan=None)
    begin = round(rest.middle * DAY_HOURS)
    known = np.isfinite(hours_c)
    shares = float(known.mean()), float(known[begin:].mean())
    if warmth is None or min(shares) < LEAST_MEASURED:
        return LeftOut(one.clutch_code, "not_measured")
    return Reared(
        code=one.clutch_code,
        laid_on=one.laid_on,
        first=min(one.hatch_days),
        middle=middle,
        last=max(one.hatch_days),
        rest_days=rest.middle,
        hours_c=warmth.hours_c,
        measured=shares[0],
        mean_c=float(warmth.hours_c[begin:].mean()),
    )


def asked_on_day(one: Reared, among: Sequence[Reared]) -> int:
    """Return the day since laying on which a past clutch is forecast, to compare.

    Args:
        one: the clutch.
        among: all that are learned from, at least one.

    Returns:
        Half of what they usually take, but before its own first egg hatched; at
        least 1.

    Source:
        ADR 0013.
    """
    half = round(median(r.middle for r in among) / 2)
    return max(min(half, one.first - 1), 1)
