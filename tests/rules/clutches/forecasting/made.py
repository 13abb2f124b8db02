"""Clutches, tracks and profiles made by hand to forecast from."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from zoneinfo import ZoneInfo

import numpy as np

from clutches.rules.facts import EggGroup, PastClutch, PhasePlan, Track
from husbandry.rules.profiles.values import IncubationRule, Profile
from husbandry.rules.profiles.vocabulary import IncubationMatter
from tests.rules.clutches.incubation.made import VEILED

LAID_ON = date(2026, 1, 10)
UTC_ZONE = ZoneInfo("UTC")
Ends = tuple[str | None, str | None]
M = IncubationMatter


def profile(
    *,
    hatch: Ends | None = ("180", "275"),
    rest: Ends | None = None,
    zero: str | None = None,
    degree_days: str | None = None,
) -> Profile:
    """Return a profile of eggs with these figures and no others."""
    rows = [
        (M.HATCH_DAYS, hatch),
        (M.DIAPAUSE_DAYS, rest),
        (M.DEVELOPMENT_ZERO_C, zero and (zero, zero)),
        (M.DEVELOPMENT_DEGREE_DAYS, degree_days and (degree_days, degree_days)),
    ]
    provenance = VEILED.incubation[0].provenance
    return replace(
        VEILED,
        incubation=tuple(
            IncubationRule(
                id=matter.value,
                matter=matter,
                low=None if ends[0] is None else Decimal(ends[0]),
                high=None if ends[1] is None else Decimal(ends[1]),
                text="",
                provenance=provenance,
            )
            for matter, ends in rows
            if ends
        ),
    )


def track(*parts: tuple[float, float]) -> Track:
    """Return a track of (days, °C) one after the other."""
    hours = [np.full(round(24 * days), celsius) for days, celsius in parts]
    return Track(0, np.concatenate(hours) if hours else np.empty(0))


def past(
    days: Sequence[int], celsius: float, *, code: str = "P-1", species: int = 1
) -> PastClutch:
    """Return a clutch kept at one temperature until its last egg hatched."""
    ordered = tuple(sorted(days))
    return PastClutch(
        clutch=sum(map(ord, code)),
        clutch_code=code,
        species=species,
        laid_on=date(2024, 1, 1),
        hatch_days=ordered,
        track=track((ordered[-1] + 1, celsius)),
    )


def herd(
    temperatures: Iterable[float], *, zero: float, total: float, rest: int = 0
) -> tuple[PastClutch, ...]:
    """Return clutches that hatched as a rate says, their eggs over three days."""
    clutches = []
    for number, celsius in enumerate(temperatures):
        day = round(rest + total / (celsius - zero))
        clutches.append(past((day - 1, day, day + 1), celsius, code=f"P-{number}"))
    return tuple(clutches)


def group(
    *,
    plan: PhasePlan | None = None,
    laid_on: date = LAID_ON,
    eggs: int = 20,
    pipped: int = 0,
    hatched: int = 0,
) -> EggGroup:
    return EggGroup(
        clutch=7,
        clutch_code="C-07",
        species=1,
        laid_on=laid_on,
        box=3,
        box_code="B-3",
        plan=plan,
        eggs=eggs,
        pipped=pipped,
        hatched=hatched,
        incubator=10,
        checked_on=None,
    )
