"""Eggs of which nobody knows how warm they were: silence is not health."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import groupby
from typing import Any

import numpy as np

from clutches.rules.facts import ClutchNight, EggGroup
from clutches.rules.incubation.climate import IncubatorClimate, ProbeClimate
from clutches.rules.incubation.hours import held
from clutches.rules.incubation.wishes import boxes_of, there_from_s
from husbandry.rules.assessments import Assessment
from husbandry.rules.clock import LocalDay
from husbandry.rules.vocabulary import FindingKind, Urgency

# A gap of so long is told; of so long, or one in which it fell, today.
GAP_FROM_S = 3600
GAP_TODAY_FROM_S = 6 * 3600
# Cooler by so much after a gap than before: the incubator may have had no power.
FELL_FROM_C = 1.0


@dataclass(frozen=True, slots=True)
class Gap:
    """A stretch of a day in which no probe tells how warm eggs were.

    Attributes:
        from_s, until_s: epoch seconds.
        before_c, after_c: what was measured last before it and first after it within
            the day, °C; None: nothing.
    """

    from_s: int
    until_s: int
    before_c: float | None
    after_c: float | None

    @property
    def seconds(self) -> int:
        """Return how long it lasted."""
        return self.until_s - self.from_s

    @property
    def fell(self) -> bool:
        """Say whether it was cooler after it than before."""
        if self.before_c is None or self.after_c is None:
            return False
        return self.before_c - self.after_c >= FELL_FROM_C


def gaps_of(
    probes: Sequence[ProbeClimate], *, day: LocalDay, evening_c: float | None
) -> tuple[Gap, ...]:
    """Return the stretches of a day in which none of some probes tells anything.

    Args:
        probes: of one incubator.
        day: what is looked at of it: from when on the eggs were there.
        evening_c: what was known last before the day began, °C; None: nothing.

    Returns:
        In order; those that are shorter than an hour are left out.

    Source:
        incubation-convention; what is impossible tells nothing: `sensor-bounds`.
    """
    spans = [
        np.stack(held(p.at_s, p.milli_c, day=day, hold_s=p.hold_s)) for p in probes
    ]
    known = np.concatenate([np.empty((3, 0), np.int64), *spans], axis=1)
    known = known[:, np.argsort(known[0], kind="stable")]
    gaps, reached_s, last_c = [], day.start_s, evening_c
    for from_s, until_s, milli_c in known.T.tolist():
        if from_s - reached_s >= GAP_FROM_S:
            gaps.append(Gap(reached_s, from_s, last_c, milli_c / 1000))
        if until_s >= reached_s:
            reached_s, last_c = until_s, milli_c / 1000
    if day.end_s - reached_s >= GAP_FROM_S:
        gaps.append(Gap(reached_s, day.end_s, last_c, None))
    return tuple(gaps)


@dataclass(frozen=True, slots=True)
class Silent:
    """What was not known of the eggs in one place, and whose silence it was."""

    assessment: Assessment
    probes: tuple[ProbeClimate, ...]


def assess_silence(night: ClutchNight, climate: IncubatorClimate) -> Iterator[Silent]:
    """Say of which eggs nobody knows how warm they were.

    Args:
        night: its groups with eggs.
        climate: what was measured in the site's incubators.

    Yields:
        One for each incubator that holds eggs and has no probe or was silent for an
        hour on end, and one for each box with eggs that stands nowhere.

    Source:
        incubation-convention.
    """
    groups = sorted(
        (group for group in night.groups if group.eggs),
        key=lambda g: (g.incubator is not None, g.incubator or g.box, g.box),
    )
    for (stands, place), some in groupby(
        groups, key=lambda g: (g.incubator is not None, g.incubator or g.box)
    ):
        inside = list(some)
        if stands:
            yield from _in_incubator(night, climate, place, inside)
        else:
            yield _nowhere(inside)


def _nowhere(groups: list[EggGroup]) -> Silent:
    return Silent(
        Assessment(
            kind=FindingKind.EGGS_UNMEASURED,
            urgency=Urgency.TODAY,
            facts=_facts(groups, (), "nowhere"),
            detail=("box", str(groups[0].box)),
        ),
        (),
    )


def _in_incubator(
    night: ClutchNight,
    climate: IncubatorClimate,
    incubator: int,
    inside: list[EggGroup],
) -> Iterator[Silent]:
    probes = climate.among_eggs(incubator)
    from_s = min(there_from_s(night, group) for group in inside)
    day = replace(climate.day, start_s=from_s)
    came = from_s > climate.day.start_s
    evening_c = None if came else _evening_c(night, inside)
    gaps = gaps_of(probes, day=day, evening_c=evening_c) if probes else ()
    if probes and not gaps:
        return
    facts = _facts(inside, probes, "gap" if gaps else "no_probe")
    seconds = sum(gap.seconds for gap in gaps)
    if gaps:
        facts |= {
            "gaps": [_told(gap, climate) for gap in gaps],
            "hours": round(seconds / 3600, 1),
        }
    soon = not gaps or any(gap.fell for gap in gaps) or seconds >= GAP_TODAY_FROM_S
    yield Silent(
        Assessment(
            kind=FindingKind.EGGS_UNMEASURED,
            urgency=Urgency.TODAY if soon else Urgency.WATCH,
            facts=facts,
            enclosure=incubator,
        ),
        probes,
    )


def _evening_c(night: ClutchNight, groups: list[EggGroup]) -> float | None:
    """Return how warm the eggs were in the last hour that is known of them."""
    for group in groups:
        track = night.tracks.get((group.clutch, group.box))
        if track is not None:
            known = track.hours_c[~np.isnan(track.hours_c)]
            if len(known):
                return round(float(known[-1]), 1)
    return None


def _facts(
    groups: list[EggGroup], probes: Sequence[ProbeClimate], why: str
) -> dict[str, Any]:
    return {
        "boxes": list(boxes_of(groups)),
        "eggs": sum(group.eggs for group in groups),
        "probes": [probe.code for probe in probes],
        "gaps": [],
        "hours": None,
        "why": why,
    }


def _told(gap: Gap, climate: IncubatorClimate) -> dict[str, Any]:
    day = climate.day
    return {
        "from": None if gap.from_s == day.start_s else _local(gap.from_s, climate),
        "until": None if gap.until_s == day.end_s else _local(gap.until_s, climate),
        "before_c": gap.before_c,
        "after_c": gap.after_c,
        "fell": gap.fell,
    }


def _local(epoch_s: int, climate: IncubatorClimate) -> str:
    return datetime.fromtimestamp(epoch_s, climate.zone).strftime("%Y-%m-%d %H:%M")
