"""What was measured in a site's incubators within one local day."""

from collections.abc import Mapping
from dataclasses import dataclass
from zoneinfo import ZoneInfo

import numpy as np
import numpy.typing as npt

from clutches.rules.incubation.hours import Int64s, hourly_means
from husbandry.rules.clock import LocalDay, bounds
from husbandry.rules.conditions import Readings
from husbandry.rules.night.facts import NightFacts, ProbeFacts
from husbandry.rules.night.planning import HOLD_INTERVALS
from husbandry.rules.vocabulary import EnclosureKind, Quantity, Zone

Bounds = tuple[int, int, int, int]


@dataclass(frozen=True, slots=True)
class ProbeClimate:
    """What one probe of an incubator measured of temperature.

    Attributes:
        at_s: epoch seconds, in any order; also from before the day what may hold.
        milli_c: thousandths of °C, or MISSING.
        hours_milli_c: means of the day's successive hours; None: not known.
    """

    id: int
    code: str
    incubator: int
    zone: Zone
    hold_s: int
    at_s: Int64s
    milli_c: Int64s
    hours_milli_c: tuple[int | None, ...]


@dataclass(frozen=True, slots=True)
class IncubatorClimate:
    """A site's incubators within one local day.

    Attributes:
        bounds: by incubator: the day's start, lights on, lights off, the day's end.
            Lights are those on record of it: by a timer, else by the local sun.
        probes: all that measure temperature in one of them.
    """

    day: LocalDay
    zone: ZoneInfo
    bounds: Mapping[int, Bounds]
    probes: tuple[ProbeClimate, ...]

    def among_eggs(self, incubator: int) -> tuple[ProbeClimate, ...]:
        """Return the probes that tell how warm eggs are in an incubator.

        Those among the eggs; where there is none, all others that are in it.
        """
        inside = [probe for probe in self.probes if probe.incubator == incubator]
        eggs = [probe for probe in inside if probe.zone is Zone.EGGS]
        return tuple(eggs or inside)


def climate_of(
    facts: NightFacts, readings: Readings, probe_ids: npt.NDArray[np.int64]
) -> IncubatorClimate:
    """Pick out of a night's readings what was measured in incubators.

    Args:
        facts: what is known of the night.
        readings: numbered by their probe's place in `probe_ids`.
        probe_ids: keys of the probes in use.

    Returns:
        The site's incubators; one without a probe has bounds all the same.

    Source:
        ADR 0002; holding: `review-conventions`.
    """
    incubators = {
        key: bounds(facts.day, enclosure.lights)
        for key, enclosure in facts.enclosures.items()
        if enclosure.kind is EnclosureKind.INCUBATOR
    }
    places = {int(key): place for place, key in enumerate(probe_ids)}
    thermometers = [
        probe
        for probe in facts.probes
        if probe.enclosure in incubators and Quantity.TEMPERATURE_C in probe.quantities
    ]
    # Few of a site's readings are of incubators: the others are set aside once.
    inside = np.zeros(len(probe_ids), np.bool_)
    inside[[places[probe.id] for probe in thermometers]] = True
    rows = np.flatnonzero(inside[readings.probe])
    place = readings.probe[rows]
    probes = (
        _probe_climate(facts, readings, rows[place == places[probe.id]], probe)
        for probe in thermometers
    )
    return IncubatorClimate(facts.day, facts.zone, incubators, tuple(probes))


def _probe_climate(
    facts: NightFacts, readings: Readings, rows: Int64s, probe: ProbeFacts
) -> ProbeClimate:
    at_s = readings.at[rows].astype(np.int64)
    milli_c = readings.temperature[rows].astype(np.int64)
    hold_s = HOLD_INTERVALS * probe.interval_s
    return ProbeClimate(
        id=probe.id,
        code=probe.code,
        incubator=probe.enclosure,
        zone=probe.zone,
        hold_s=hold_s,
        at_s=at_s,
        milli_c=milli_c,
        hours_milli_c=hourly_means(at_s, milli_c, day=facts.day, hold_s=hold_s),
    )
