"""Nights of eggs made by hand: one incubator, 10, from midnight to midnight UTC."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from clutches.rules.facts import (
    BoxSpell,
    ClutchNight,
    EggGroup,
    Phase,
    PhasePlan,
    Track,
)
from clutches.rules.incubation.climate import IncubatorClimate, ProbeClimate
from clutches.rules.incubation.hours import hourly_means
from clutches.rules.vocabulary import PhaseKind
from husbandry.rules.clock import LocalDay
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.values import IncubationRule, Profile
from husbandry.rules.profiles.vocabulary import IncubationMatter
from husbandry.rules.vocabulary import Zone

ON = date(2026, 11, 24)
START_S = int(datetime(2026, 11, 24, tzinfo=UTC).timestamp())
HOUR_S = 3600
DAY = LocalDay(ON, START_S, START_S + 24 * HOUR_S)
INCUBATOR = 10
STEP_S = 300


def veiled() -> Profile:
    path = Path("husbandry/profiles/veiled_chameleon.yaml")
    return read_profile(path.read_text(encoding="utf-8"), name=path.name)


VEILED = veiled()


def with_zero(profile: Profile, low: str | None, high: str | None) -> Profile:
    row = IncubationRule(
        id="zero",
        matter=IncubationMatter.DEVELOPMENT_ZERO_C,
        low=None if low is None else Decimal(low),
        high=None if high is None else Decimal(high),
        text="",
        provenance=profile.incubation[0].provenance,
    )
    return replace(profile, incubation=(*profile.incubation, row))


def phase(
    low: str = "25.0",
    high: str = "28.0",
    *,
    days: int | None = None,
    kind: PhaseKind = PhaseKind.WARM,
    night: tuple[str, str] | None = None,
) -> Phase:
    night_low, night_high = night or (low, high)
    return Phase(
        kind,
        days,
        Decimal(low),
        Decimal(high),
        Decimal(night_low),
        Decimal(night_high),
    )


def plan(
    *phases: Phase,
    code: str = "warm",
    hard_low: str | None = None,
    hard_high: str | None = "30.0",
) -> PhasePlan:
    return PhasePlan(
        code=code,
        name=f"Plan {code}",
        phases=phases or (phase(),),
        hard_low_c=None if hard_low is None else Decimal(hard_low),
        hard_high_c=None if hard_high is None else Decimal(hard_high),
        provenance=None,
    )


def group(**changes: Any) -> EggGroup:
    made = EggGroup(
        clutch=1,
        clutch_code="C-1",
        species=7,
        laid_on=date(2026, 11, 4),
        box=1,
        box_code="B-1",
        plan=plan(),
        eggs=30,
        pipped=0,
        hatched=0,
        incubator=INCUBATOR,
        checked_on=date(2026, 11, 20),
    )
    return replace(made, **changes)


def night(*groups: EggGroup, **changes: Any) -> ClutchNight:
    given: dict[str, Any] = {
        "day": DAY,
        "zone": ZoneInfo("UTC"),
        "groups": groups,
        "unplaced": (),
        "spells": {},
        "tracks": {},
        "past": (),
        "females": (),
        "unsettled": (),
        "second_look": False,
        "profiles": {7: (1, VEILED)},
    }
    return ClutchNight(**{**given, **changes})


def spells(*of: tuple[int | None, int, int | None]) -> Mapping[Any, Any]:
    return {(1, 1): tuple(BoxSpell(*spell) for spell in of)}


def track(*hours_c: float) -> Mapping[Any, Any]:
    start_s = START_S - HOUR_S * len(hours_c)
    return {(1, 1): Track(start_s, np.array(hours_c, np.float64))}


def probe(
    readings: Iterable[tuple[int, float]],
    *,
    id: int = 1,  # noqa: A002 - as the field is called
    zone: Zone = Zone.EGGS,
    day: LocalDay = DAY,
    hold_s: int = 3 * STEP_S,
) -> ProbeClimate:
    rows = list(readings)
    at_s = np.array([at for at, _ in rows], np.int64)
    milli_c = np.array([round(c * 1000) for _, c in rows], np.int64)
    return ProbeClimate(
        id=id,
        code=f"P-{id}",
        incubator=INCUBATOR,
        zone=zone,
        hold_s=hold_s,
        at_s=at_s,
        milli_c=milli_c,
        hours_milli_c=hourly_means(at_s, milli_c, day=day, hold_s=hold_s),
    )


def steady(
    *parts: tuple[int, int, float], day: LocalDay = DAY
) -> list[tuple[int, float]]:
    """Return readings every five minutes: (from, until, °C), in seconds of the day.

    Readings hold on for two steps after the last one of a part, unless another one
    follows.
    """
    return [
        (day.start_s + at, celsius)
        for from_s, until_s, celsius in parts
        for at in range(from_s, until_s, STEP_S)
    ]


def climate(
    probes: Sequence[ProbeClimate],
    *,
    day: LocalDay = DAY,
    lights: tuple[int, int] = (8 * HOUR_S, 20 * HOUR_S),
) -> IncubatorClimate:
    bounds = (day.start_s, *(day.start_s + at for at in lights), day.end_s)
    return IncubatorClimate(day, ZoneInfo("UTC"), {INCUBATOR: bounds}, tuple(probes))
