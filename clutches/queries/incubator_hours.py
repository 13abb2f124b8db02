"""What the probes of incubators measured, hour by hour, along where eggs were."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from clutches.models import IncubatorDay
from clutches.rules.facts import BoxSpell, Floats, Track
from husbandry.models import Probe
from husbandry.rules.vocabulary import Zone

Key: TypeAlias = tuple[int, int]
Spells: TypeAlias = tuple[BoxSpell, ...]
HOUR_S = 3600


@dataclass(slots=True)
class _Sums:
    """What the probes of one incubator measured, hour by hour on a common grid."""

    hours: int
    total: Floats = field(init=False)
    probes: npt.NDArray[np.int64] = field(init=False)

    def __post_init__(self) -> None:
        self.total = np.zeros(self.hours)
        self.probes = np.zeros(self.hours, np.int64)

    def add(self, first: int, hours_c: Floats) -> None:
        """Add one probe's hours from a place of the grid on; NaN: not measured."""
        begin, end = max(first, 0), min(first + len(hours_c), self.hours)
        if begin < end:
            values = hours_c[begin - first : end - first]
            known = np.isfinite(values)
            self.total[begin:end][known] += values[known]
            self.probes[begin:end] += known

    def mean_c(self) -> Floats:
        """Return the mean of the probes; NaN where none measured."""
        mean = np.full(self.hours, np.nan)
        np.divide(self.total, self.probes, out=mean, where=self.probes > 0)
        return mean


def stitched(*, wanted: Mapping[Key, tuple[Spells, int]]) -> dict[Key, Track]:
    """Return how warm it was along some spells, stitched hour by hour; two queries.

    Args:
        wanted: by any key, spells without gaps, and the epoch second until which hours
            are wanted; no spells make an empty track.

    Returns:
        By the same keys; NaN where it was in no incubator, or nobody measured there.
    """
    starts = [spells[0].from_s for spells, _ in wanted.values() if spells]
    if not starts:
        return {key: Track(0, np.empty(0)) for key in wanted}
    base_s = min(starts)
    hours = -(-(max(until_s for _, until_s in wanted.values()) - base_s) // HOUR_S)
    incubators = {
        spell.incubator
        for spells, _ in wanted.values()
        for spell in spells
        if spell.incubator is not None
    }
    warmth = incubator_warmth(incubators=incubators, base_s=base_s, hours=hours)
    return {
        key: _track(spells, until_s, base_s, warmth)
        for key, (spells, until_s) in wanted.items()
    }


def _track(
    spells: Spells, until_s: int, base_s: int, warmth: Mapping[int, Floats]
) -> Track:
    """Stitch one track of what was measured where the eggs were.

    The grid's hours are taken by the hour in which a spell begins; a box that was
    moved within an hour is told by the incubator it came to.
    """
    first = (spells[0].from_s - base_s) // HOUR_S
    last = max((until_s - base_s) // HOUR_S, first)
    hours_c = np.full(last - first, np.nan)
    for spell in spells:
        begin = (spell.from_s - base_s) // HOUR_S
        end_s = until_s if spell.until_s is None else min(spell.until_s, until_s)
        end = min(-(-(end_s - base_s) // HOUR_S), last)
        if begin < end:
            found = warmth.get(spell.incubator) if spell.incubator else None
            hours_c[begin - first : end - first] = (
                np.nan if found is None else found[begin:end]
            )
    return Track(base_s + first * HOUR_S, hours_c)


def incubator_warmth(
    *, incubators: Collection[int], base_s: int, hours: int
) -> dict[int, Floats]:
    """Return the mean °C of each hour in each incubator; two queries.

    Args:
        incubators: of which.
        base_s: epoch second at which the first hour begins.
        hours: how many; none or fewer give empty arrays.

    Returns:
        By incubator; NaN where none of its probes measured. Where it has probes among
        the eggs, only these count.
    """
    hours = max(hours, 0)
    probes: dict[int, dict[int, Zone]] = defaultdict(dict)
    for probe, incubator, zone in Probe.objects.filter(
        enclosure__in=incubators, measures_temperature=True
    ).values_list("pk", "enclosure_id", "zone"):
        probes[incubator][probe] = Zone(zone)
    told: dict[int, int] = {}
    for incubator, zones in probes.items():
        among = [probe for probe, zone in zones.items() if zone is Zone.EGGS]
        told.update(dict.fromkeys(among or zones, incubator))
    sums = {incubator: _Sums(hours) for incubator in incubators}
    first_on = datetime.fromtimestamp(base_s, tz=UTC).date() - timedelta(days=1)
    for probe, start_s, milli_c in IncubatorDay.objects.filter(
        probe__in=told, on__gte=first_on
    ).values_list("probe_id", "start_s", "hours_milli_c"):
        hours_c = np.array(milli_c, np.float64) / 1000
        sums[told[probe]].add((start_s - base_s) // HOUR_S, hours_c)
    return {incubator: found.mean_c() for incubator, found in sums.items()}
