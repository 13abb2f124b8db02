"""A home's days, each summed up and judged by the nightly review itself.

A local day is laid out as a night of one enclosure with one animal, and given to the
same kernel and the same judgement.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from husbandry.rules.conditions import (
    MISSING,
    PERIODS,
    QUANTITIES,
    NightConditions,
    summarise,
)
from husbandry.rules.night.climate import DECIDED_FROM_SHARE, judge_conditions
from husbandry.rules.night.facts import (
    AnimalFacts,
    EnclosureFacts,
    NightFacts,
    ProbeFacts,
    StayFacts,
)
from husbandry.rules.night.planning import (
    AnimalPlan,
    Plan,
    lay_over_probes,
    wanted_by_spot,
)
from husbandry.rules.night.probes import judge_probes
from husbandry.rules.vocabulary import FindingKind, Period, Quantity, Zone
from placements.rules.readiness.values import (
    AnimalNeeds,
    HomeDay,
    HomeReadings,
    HomeSetup,
)

_HOME = 1
Spot = tuple[Quantity, Zone, Period]


@dataclass(frozen=True, slots=True)
class SpotDay:
    """What was measured at one spot in one period of one local day.

    Attributes:
        decided: three quarters of the period were covered by a probe that moved.
        outside: the review would have made a finding of it.
        mean, lowest, highest: in the quantity's unit; None: nothing was in force.
    """

    on: date
    covered_s: int
    expected_s: int
    below_s: int
    above_s: int
    mean: float | None
    lowest: float | None
    highest: float | None
    decided: bool
    outside: bool
    stood_still: bool


def measured_days(
    setup: HomeSetup,
    needs: AnimalNeeds,
    readings: HomeReadings,
    *,
    days: Sequence[HomeDay],
) -> dict[Spot, tuple[SpotDay, ...]]:
    """Return what each spot's days came to, the newest first.

    Days without any reading are left out, whatever may still hold from before.

    Args:
        setup: the enclosure.
        needs: of the animal.
        readings: of the enclosure, in any order.
        days: its local days that may count.

    Source:
        home-readings-convention
    """
    found: dict[Spot, list[SpotDay]] = {}
    for on in _days_with_readings(readings, days):
        facts = _night(setup, readings, on)
        plan = lay_over_probes(facts, (_animal_plan(facts, needs),))
        conditions = summarise(readings.readings, plan.kernel)
        for spot, day in _spot_days(facts, plan, conditions):
            if day.covered_s or day.stood_still:
                found.setdefault(spot, []).append(day)
    return {spot: tuple(days) for spot, days in found.items()}


def _days_with_readings(
    readings: HomeReadings, days: Sequence[HomeDay]
) -> list[HomeDay]:
    at = np.sort(readings.readings.at)
    return [
        day
        for day in sorted(days, key=lambda day: day.day.on, reverse=True)
        if np.searchsorted(at, day.day.start_s) < np.searchsorted(at, day.day.end_s)
    ]


def _night(setup: HomeSetup, readings: HomeReadings, on: HomeDay) -> NightFacts:
    home = EnclosureFacts(
        id=_HOME,
        code="home",
        room="",
        kind=setup.kind,
        width_cm=setup.width_cm,
        depth_cm=setup.depth_cm,
        height_cm=setup.height_cm,
        laying_bin=setup.laying_bin,
        lights=on.lights,
    )
    return NightFacts(
        day=on.day,
        zone=setup.zone,
        animals=(),
        enclosures={_HOME: home},
        probes=tuple(
            ProbeFacts(place, zone.value, _HOME, zone, quantities, interval_s)
            for place, (zone, quantities, interval_s) in enumerate(
                zip(
                    readings.zones,
                    readings.quantities,
                    readings.interval_s,
                    strict=True,
                )
            )
        ),
        sight_lines=(),
        profiles={},
    )


def _animal_plan(facts: NightFacts, needs: AnimalNeeds) -> AnimalPlan:
    day = facts.day
    newcomer = AnimalFacts(
        id=0,
        code="newcomer",
        name="",
        species=0,
        sex=needs.sex,
        hatched_on=None,
        arrived_on=day.on,
        reproduction=needs.reproduction,
        gravid=(),
        stays=(StayFacts(_HOME, day.start_s, day.end_s),),
        homeless=False,
        overrides=(),
        weighings=(),
    )
    return AnimalPlan(newcomer, None, None, wanted_by_spot(needs.targets))


def _spot_days(
    facts: NightFacts, plan: Plan, conditions: NightConditions
) -> Iterator[tuple[Spot, SpotDay]]:
    outside = {
        (e["quantity"], e["zone"], e["period"])
        for seen in judge_conditions(facts, plan, conditions)
        if seen.decided and (e := seen.evidence)
    }
    still = {
        (seen.evidence["probe"], seen.evidence["quantity"])
        for seen in judge_probes(facts, conditions)
        if seen.kind is FindingKind.STUCK_PROBE
    }
    for row in range(len(conditions)):
        zone = facts.probes[int(conditions.probe[row])].zone
        quantity = QUANTITIES[int(conditions.quantity[row])]
        spot = (quantity, zone, PERIODS[int(conditions.period[row])])
        day = _spot_day(
            facts.day.on,
            conditions,
            row,
            outside=(quantity.value, zone.value, spot[2].value) in outside,
            stood_still=(zone.value, quantity.value) in still,
        )
        yield spot, day


def _spot_day(
    on: date, c: NightConditions, row: int, *, outside: bool, stood_still: bool
) -> SpotDay:
    covered_s, expected_s = int(c.covered_s[row]), int(c.expected_s[row])
    return SpotDay(
        on=on,
        covered_s=covered_s,
        expected_s=expected_s,
        below_s=int(c.below_s[row]),
        above_s=int(c.above_s[row]),
        mean=float(c.mean()[row]) if covered_s else None,
        lowest=_value(int(c.lowest_milli[row])) if covered_s else None,
        highest=_value(int(c.highest_milli[row])) if covered_s else None,
        decided=covered_s >= DECIDED_FROM_SHARE * expected_s and not stood_still,
        outside=outside,
        stood_still=stood_still,
    )


def _value(milli: int) -> float | None:
    return None if milli == MISSING else milli / 1000
