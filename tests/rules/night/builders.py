"""A small invented site: one species, a few targets, readings by the hour."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from husbandry.rules.care.facts import CareFacts
from husbandry.rules.clock import LightTimes, LocalDay
from husbandry.rules.conditions import MISSING, Readings, summarise
from husbandry.rules.findings import Seen
from husbandry.rules.night.assessing import Assessment, assess_night
from husbandry.rules.night.facts import (
    AnimalFacts,
    EnclosureFacts,
    NightFacts,
    ProbeFacts,
    ProfileFacts,
    StayFacts,
)
from husbandry.rules.night.planning import plan_night
from husbandry.rules.profiles.values import (
    Profile,
    Provenance,
    Stage,
    Target,
    WeightPolicy,
)
from husbandry.rules.vocabulary import (
    EnclosureKind,
    Period,
    Quantity,
    Reproduction,
    Sex,
    Standing,
    Zone,
)

ON = date(2026, 3, 1)
UTC = ZoneInfo("UTC")
START = 1_772_323_200  # 2026-03-01T00:00Z
HOUR = 3600
DAY = LocalDay(ON, START, START + 24 * HOUR)
LIGHTS = LightTimes(START + 8 * HOUR, START + 20 * HOUR)
INVENTED = Provenance("invented", Standing.FROM_MEMORY, date(2026, 1, 1))


def target(
    quantity: Quantity = Quantity.TEMPERATURE_C,
    zone: Zone = Zone.BASKING,
    period: Period = Period.DAY,
    *,
    low: str | None = "28",
    high: str | None = "31",
    **changes: Any,
) -> Target:
    """A target: 28 to 31 °C at the basking spot by day, an hour tolerated."""
    return replace(
        Target(
            id=f"{quantity}-{zone}-{period}",
            quantity=quantity,
            zone=zone,
            period=period,
            stages=(),
            sex=None,
            reproduction=None,
            low=None if low is None else Decimal(low),
            high=None if high is None else Decimal(high),
            hard_low=None,
            hard_high=None,
            tolerated_minutes=60,
            provenance=INVENTED,
        ),
        **changes,
    )


def profile(*targets: Target, **changes: Any) -> Profile:
    """A profile of one stage that wants nothing but the given targets."""
    return replace(
        Profile(
            species="invented",
            common_name="Invented lizard",
            scientific_name="Lacerta ficta",
            sources=(),
            stages=(Stage("grown", "Grown", 0, None, INVENTED),),
            targets=targets,
            light_hours=(),
            housing=(),
            company=(),
            laying=(),
            feeding=(),
            feeders=(),
            supplements=(),
            weight_bands=(),
            weighing=(),
            weight_policy=WeightPolicy(
                loss_watch_pct=Decimal(5),
                loss_watch_days=14,
                loss_now_pct=Decimal(10),
                loss_now_days=30,
                stall_days=9,
                stall_min_weighings=3,
                stall_stages=(),
                provenance=INVENTED,
            ),
            warning_signs=(),
            incubation=(),
            cautions=(),
            checklist=(),
            notes=(),
        ),
        **changes,
    )


def animal(number: int = 1, enclosure: int | None = 1, **changes: Any) -> AnimalFacts:
    """An animal that stayed in one enclosure all day; None: in none."""
    stays = () if enclosure is None else (StayFacts(enclosure, START, DAY.end_s),)
    return replace(
        AnimalFacts(
            id=number,
            code=f"A-{number}",
            name="",
            species=1,
            sex=Sex.MALE,
            hatched_on=date(2025, 1, 1),
            arrived_on=date(2025, 1, 1),
            reproduction=Reproduction.RESTING,
            gravid=(),
            stays=stays,
            homeless=enclosure is None,
            overrides=(),
            weighings=(),
        ),
        **changes,
    )


def enclosure(number: int = 1, **changes: Any) -> EnclosureFacts:
    """An enclosure with its lights on from 8 to 20 h."""
    return replace(
        EnclosureFacts(
            id=number,
            code=f"E-{number}",
            room="Room",
            kind=EnclosureKind.SCREEN,
            width_cm=Decimal(60),
            depth_cm=Decimal(60),
            height_cm=Decimal(120),
            laying_bin=False,
            lights=LIGHTS,
        ),
        **changes,
    )


def probe(number: int = 1, enclosure: int = 1, **changes: Any) -> ProbeFacts:
    """A thermometer at the basking spot that reads every hour."""
    return replace(
        ProbeFacts(
            id=number,
            code=f"P-{number}",
            enclosure=enclosure,
            zone=Zone.BASKING,
            quantities=(Quantity.TEMPERATURE_C,),
            interval_s=HOUR,
        ),
        **changes,
    )


def night(
    *,
    animals: Sequence[AnimalFacts] = (animal(),),
    enclosures: Sequence[EnclosureFacts] = (enclosure(),),
    probes: Sequence[ProbeFacts] = (probe(),),
    profile: Profile | None = None,
    **changes: Any,
) -> NightFacts:
    """A site of one enclosure, one animal and one thermometer."""
    return replace(
        NightFacts(
            day=DAY,
            zone=UTC,
            animals=tuple(animals),
            enclosures={e.id: e for e in enclosures},
            probes=tuple(probes),
            sight_lines=(),
            profiles={} if profile is None else {1: ProfileFacts(1, profile)},
        ),
        **changes,
    )


def hourly(
    *values: float | None, probe: int = 0, quantity: Quantity = Quantity.TEMPERATURE_C
) -> Readings:
    """Readings of one probe, one an hour from midnight; None: none that hour."""
    at = [START + HOUR * h for h, v in enumerate(values) if v is not None]
    milli = np.array([round(v * 1000) for v in values if v is not None], np.int32)
    empty = np.full(len(at), MISSING, np.int32)
    order = (Quantity.TEMPERATURE_C, Quantity.HUMIDITY_PCT, Quantity.UV_INDEX)
    return Readings(
        np.full(len(at), probe, np.int32),
        np.array(at, np.int64),
        *(milli if quantity is q else empty for q in order),
    )


def together(*parts: Readings) -> Readings:
    """Readings of several probes in one."""
    columns = ("probe", "at", "temperature", "humidity", "uv_index")
    return Readings(
        *(np.concatenate([getattr(p, name) for p in parts]) for name in columns)
    )


def assess(facts: NightFacts, readings: Readings) -> Assessment:
    """What the review says of the night."""
    plan = plan_night(facts)
    return assess_night(
        facts, plan, summarise(readings, plan.kernel), without_care(facts)
    )


def without_care(facts: NightFacts) -> CareFacts:
    """Nobody's care: what is told of it has tables of its own."""
    return CareFacts(
        zone=facts.zone,
        site=1,
        from_on=facts.day.on,
        until_on=facts.day.on,
        since_on=facts.day.on,
        animals=(),
        enclosures={},
        rooms={},
        chores=(),
        first_recorded_on={},
    )


def by_key(facts: NightFacts, readings: Readings) -> dict[str, Seen]:
    """Sightings by key, without those that only say that nothing measures."""
    seen = assess(facts, readings).seen
    keys = [s.key for s in seen]
    assert len(keys) == len(set(keys))
    return {s.key: s for s in seen}
