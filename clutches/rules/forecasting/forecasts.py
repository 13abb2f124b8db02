"""When the eggs of one clutch in one box are expected to hatch."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from clutches.rules.facts import ClutchNight, EggGroup, PastClutch, Track
from clutches.rules.forecasting.footings import Footing, footing_of
from clutches.rules.forecasting.telling import Told, window_told
from clutches.rules.forecasting.warmth import (
    Ahead,
    Warmth,
    ahead_as_lately,
    ahead_by_plan,
    bridged,
)
from clutches.rules.forecasting.windows import Window, opened, profile_days
from clutches.rules.vocabulary import ForecastBasis
from husbandry.rules.profiles.values import Profile

NO_TRACK = Track(0, np.empty(0))


def forecast(
    group: EggGroup,
    track: Track,
    past: Iterable[PastClutch],
    profile: Profile,
    *,
    on: date,
    zone: ZoneInfo,
) -> Window | None:
    """Return when a group of eggs is expected to hatch; for one group alone.

    Args:
        group: the eggs, as at the end of the day.
        track: how warm they were since laying.
        past: clutches that hatched; those of other species are passed over.
        profile: of the species.
        on: the local day up to whose end it looks back.
        zone: of the site; days are its local days already, so it changes nothing.

    Returns:
        As `forecast_on`; for many groups find the footing once, see `forecasts_of`.

    Source:
        ADR 0013.
    """
    del zone
    own = [one for one in past if one.species == group.species]
    return forecast_on(footing_of(own, profile), group, track, on=on)


def forecasts_of(night: ClutchNight) -> dict[tuple[int, int], Window]:
    """Return the windows of all groups of a night, by clutch and box.

    Args:
        night: with tracks of its groups; a group without one was never measured.

    Returns:
        Groups of which nothing can be told are absent: their species has no profile,
        or neither rate, own clutches nor window.

    Source:
        ADR 0013.
    """
    footings = _footings(night)
    windows = {}
    for group in night.groups:
        footing = footings.get(group.species)
        if footing is None:
            continue
        track = night.tracks.get((group.clutch, group.box), NO_TRACK)
        window = forecast_on(footing, group, track, on=night.day.on)
        if window is not None:
            windows[group.clutch, group.box] = window
    return windows


def _footings(night: ClutchNight) -> Mapping[int, Footing]:
    own: dict[int, list[PastClutch]] = {}
    for one in night.past:
        own.setdefault(one.species, []).append(one)
    wanted = {group.species for group in night.groups} & night.profiles.keys()
    return {s: footing_of(own.get(s, ()), night.profiles[s][1]) for s in wanted}


def forecast_on(
    footing: Footing, group: EggGroup, track: Track, *, on: date
) -> Window | None:
    """Return when a group of eggs is expected to hatch.

    Args:
        footing: what forecasts of the species stand on.
        group: the eggs, as at the end of the day.
        track: how warm they were since laying; after its end the plan's set points
            hold, and without a plan the mean of the last seven days.
        on: the local day up to whose end it looks back.

    Returns:
        None where the profile has no window and nothing better can be told.

    Source:
        ADR 0013.
    """
    warmth = bridged(track, plan=group.plan)
    ahead: Sequence[Ahead] = ()
    if group.plan is not None:
        ahead = ahead_by_plan(group.plan, from_hour=len(track.hours_c))
    elif warmth is not None:
        ahead = ahead_as_lately(warmth)
    told = window_told(footing, warmth, ahead)
    if isinstance(told, str):
        if footing.window_rule is None:
            return None
        days = profile_days(footing.window_rule)
        told = Told(ForecastBasis.PROFILE_WINDOW, days, None, None, None, why=told)
    begun = group.pipped > 0 or group.hatched > 0
    earliest_on, likely_on, latest_on = opened(
        told.days, laid_on=group.laid_on, on=on, begun=begun
    )
    return Window(
        basis=told.basis,
        earliest_on=earliest_on,
        likely_on=likely_on,
        latest_on=latest_on,
        coverage=told.coverage,
        development=told.development,
        evidence={
            **_warmth_words(warmth, ahead, planned=group.plan is not None),
            **_footing_words(footing, told),
            "begun": begun,
        },
    )


def _warmth_words(
    warmth: Warmth | None, ahead: Sequence[Ahead], *, planned: bool
) -> dict[str, Any]:
    return {
        "hours": len(warmth.hours_c) if warmth else 0,
        "measured": round(warmth.measured, 3) if warmth else 0.0,
        "ahead_c": round(ahead[0].celsius, 2) if ahead else None,
        "ahead_by": ("plan" if planned else "last_days") if ahead else None,
    }


def _footing_words(footing: Footing, told: Told) -> dict[str, Any]:
    rate, spread = footing.rate, told.spread
    by_rate = rate is not None and told.basis is footing.basis
    return {
        "why": told.why,
        "past": spread.clutches if spread else 0,
        "left_out": len(footing.left_out),
        "method": spread.method.value if spread else None,
        "rest_days": [footing.rest.low, footing.rest.high],
        "zero_c": round(rate.zero_c, 2) if rate and by_rate else None,
        "degree_days": round(rate.degree_days, 1) if rate and by_rate else None,
        "zero_stated": footing.zero_stated if by_rate else None,
        "bias_days": round(spread.likely, 1) if spread and by_rate else None,
        "alike_c": None if told.mean_c is None else round(told.mean_c, 2),
        "window_days": [round(d, 1) for d in (told.days.early, told.days.late)],
    }
