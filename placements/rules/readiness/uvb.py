"""Whether a home gives the UVB that an animal needs: by meter, else by its lamp.

A lamp is only words; what was measured at the perch goes before them.
"""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal

import numpy as np

from husbandry.rules.conditions import MISSING
from husbandry.rules.night.evidence import basis, number, row_basis
from husbandry.rules.profiles.care_rows import lamp_rule_for
from husbandry.rules.profiles.resolving import ResolvedTarget
from husbandry.rules.profiles.values import Profile, Provenance
from husbandry.rules.vocabulary import LampKind, Period, Quantity, Standing, Zone
from placements.rules.readiness.climate import DAYS_WANTED, climate_state
from placements.rules.readiness.days import Spot, SpotDay
from placements.rules.readiness.values import (
    AnimalNeeds,
    HomeDay,
    HomeReadings,
    HomeSetup,
    MatterState,
)
from placements.rules.readiness.words import Why
from placements.rules.vocabulary import Readiness, ReadinessMatter, UvbLamp

# The class of tube that is meant to lie on an enclosure of usual height.
CLASS_PCT = (Decimal(5), Decimal(6))
# From the tube to the highest perch: nearer is too strong, further too weak.
REACH_CM = (Decimal(15), Decimal(30))
_LAMPS = Provenance(
    source="common-practice",
    standing=Standing.COMMON_PRACTICE,
    reviewed_on=date(2026, 11, 25),
    note=(
        "A linear high-output T5 tube of the 5 to 6 % class; the 10 to 12 % class "
        "needs more distance and a meter, compact lamps reach only a few inches, T8 "
        "tubes reach less far than T5. The distance of 15 to 30 cm is from memory."
    ),
)


def judge_uvb(
    setup: HomeSetup,
    needs: AnimalNeeds,
    profile: Profile,
    readings: HomeReadings,
    *,
    measured: Mapping[Spot, tuple[SpotDay, ...]],
    days: tuple[HomeDay, ...],
) -> MatterState | None:
    """Judge the UVB of a home's enclosure.

    Args:
        setup: the enclosure.
        needs: of the animal.
        profile: its care profile.
        readings: of the enclosure.
        measured: what its days came to; see `measured_days`.
        days: its local days that may count.

    Returns:
        By the review's kernel where a logger covered enough days; else by what a
        hand-held meter showed on the newest day on which it was read while the
        lights burned, at least once and each time; else by the lamp. None: the
        profile wants no UVB.

    Source:
        common-practice for lamps, memory for the distance,
        home-readings-convention for readings by hand.
    """
    target = _target(needs)
    if target is None and lamp_rule_for(profile, LampKind.UVB_TUBE) is None:
        return None
    if target is not None:
        logged = climate_state(ReadinessMatter.UVB_LAMP, target, needs, measured)
        if logged.found["days"] >= DAYS_WANTED:
            return logged
        by_hand = _by_hand(target, needs, readings, days)
        if by_hand is not None:
            return by_hand
    state, why = _lamp(setup)
    return MatterState(
        matter=ReadinessMatter.UVB_LAMP,
        state=state,
        why=why,
        wanted={
            "lamp": UvbLamp.LINEAR_T5.value,
            "percent_low": number(CLASS_PCT[0]),
            "percent_high": number(CLASS_PCT[1]),
            "distance_low_cm": number(REACH_CM[0]),
            "distance_high_cm": number(REACH_CM[1]),
            "uv_index": [number(target.low), number(target.high)] if target else None,
        },
        found={
            "lamp": setup.uvb_lamp.value,
            "percent": number(setup.uvb_percent),
            "distance_cm": number(setup.uvb_distance_cm),
            "through_screen": setup.uvb_through_screen,
        },
        basis=row_basis(_LAMPS, row="", version=None),
    )


def _target(needs: AnimalNeeds) -> ResolvedTarget | None:
    """Return the UV index that is wanted by day, where some is wanted."""
    return next(
        (
            target
            for target in needs.targets
            if target.quantity is Quantity.UV_INDEX
            and target.period is Period.DAY
            and target.low
        ),
        None,
    )


def _by_hand(
    target: ResolvedTarget,
    needs: AnimalNeeds,
    readings: HomeReadings,
    days: tuple[HomeDay, ...],
) -> MatterState | None:
    on, values = _newest_by_day(readings, target.zone, days)
    if on is None:
        return None
    low, high = target.low or Decimal(0), target.high
    inside = all(low <= v and (high is None or v <= high) for v in values)
    return MatterState(
        matter=ReadinessMatter.UVB_LAMP,
        state=Readiness.AS_WANTED if inside else Readiness.NOT_AS_WANTED,
        why=Why.MEASURED if inside else Why.MEASURED_OUTSIDE,
        wanted={"low": number(target.low), "high": number(target.high)},
        found={
            "on": on.isoformat(),
            "readings": len(values),
            "lowest": float(min(values)),
            "highest": float(max(values)),
        },
        basis=basis(target, needs.version),
        quantity=target.quantity,
        zone=target.zone,
        period=target.period,
    )


def _newest_by_day(
    readings: HomeReadings, zone: Zone, days: tuple[HomeDay, ...]
) -> tuple[date | None, tuple[Decimal, ...]]:
    """Return the newest day with readings while the lights burned, and what they say."""
    if zone not in readings.zones:
        return None, ()
    r = readings.readings
    mine = (r.probe == readings.zones.index(zone)) & (r.uv_index != MISSING)
    for day in sorted(days, key=lambda day: day.day.on, reverse=True):
        lit = mine & (r.at >= day.lights.on_s) & (r.at < day.lights.off_s)
        if np.any(lit):
            values = (Decimal(int(milli)) / 1000 for milli in r.uv_index[lit])
            return day.day.on, tuple(values)
    return None, ()


def _lamp(setup: HomeSetup) -> tuple[Readiness, Why]:
    match setup.uvb_lamp:
        case UvbLamp.NONE:
            return Readiness.NOT_AS_WANTED, Why.NO_LAMP
        case UvbLamp.COMPACT | UvbLamp.LINEAR_T8:
            return Readiness.NOT_AS_WANTED, Why.WRONG_LAMP
        case UvbLamp.OTHER:
            return Readiness.NOT_KNOWN, Why.LAMP_NEEDS_METER
    return _tube(setup.uvb_percent, setup.uvb_distance_cm)


def _tube(
    percent: Decimal | None, distance_cm: Decimal | None
) -> tuple[Readiness, Why]:
    if percent is None:
        return Readiness.NOT_KNOWN, Why.NOT_SAID
    if not CLASS_PCT[0] <= percent <= CLASS_PCT[1]:
        return Readiness.NOT_KNOWN, Why.LAMP_NEEDS_METER
    if distance_cm is None:
        return Readiness.NOT_KNOWN, Why.NOT_SAID
    if distance_cm < REACH_CM[0]:
        return Readiness.NOT_AS_WANTED, Why.LAMP_TOO_NEAR
    if distance_cm > REACH_CM[1]:
        return Readiness.NOT_AS_WANTED, Why.LAMP_TOO_FAR
    return Readiness.AS_WANTED, Why.AS_WANTED
