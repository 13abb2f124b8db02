"""One target of a home's climate, judged by the days on which it was measured."""

from collections.abc import Iterator, Mapping

from husbandry.rules.night.evidence import basis, number
from husbandry.rules.profiles.resolving import ResolvedTarget
from placements.rules.readiness.days import Spot, SpotDay
from placements.rules.readiness.values import AnimalNeeds, Json, MatterState
from placements.rules.readiness.words import Why
from placements.rules.vocabulary import Readiness, ReadinessMatter

DAYS_WANTED = 3


def climate_state(
    matter: ReadinessMatter,
    target: ResolvedTarget,
    needs: AnimalNeeds,
    days: Mapping[Spot, tuple[SpotDay, ...]],
) -> MatterState:
    """Judge one target by the days on which its spot was measured.

    Args:
        matter: what it counts as.
        target: what is wanted.
        needs: of the animal.
        days: by spot, the newest first.

    Returns:
        As wanted if each of the newest three local days that were measured well
        enough was so by the nightly review; not as wanted if one of them, or a part
        of a day since, was not; else not known.

    Source:
        home-readings-convention; the judgement is review-conventions (ADR 0007).
    """
    spot = (target.quantity, target.zone, target.period)
    counted = tuple(_counted(days.get(spot, ())))
    state, why = _verdict(counted)
    return MatterState(
        matter=matter,
        state=state,
        why=why,
        wanted={
            "low": number(target.low),
            "high": number(target.high),
            "hard_low": number(target.hard_low),
            "hard_high": number(target.hard_high),
            "tolerated_s": 60 * target.tolerated_minutes,
            "days": DAYS_WANTED,
        },
        found={
            "days": sum(day.decided for day in counted),
            "measured": [_told(day) for day in counted],
        },
        basis=basis(target, needs.version),
        quantity=target.quantity,
        zone=target.zone,
        period=target.period,
    )


def _counted(days: tuple[SpotDay, ...]) -> Iterator[SpotDay]:
    """Yield the newest days until enough of them were measured well enough."""
    decided = 0
    for day in days:
        if decided == DAYS_WANTED:
            return
        decided += day.decided
        yield day


def _verdict(days: tuple[SpotDay, ...]) -> tuple[Readiness, Why]:
    if not days:
        return Readiness.NOT_KNOWN, Why.NOT_MEASURED
    if any(day.outside for day in days):
        return Readiness.NOT_AS_WANTED, Why.OUTSIDE
    if sum(day.decided for day in days) >= DAYS_WANTED:
        return Readiness.AS_WANTED, Why.AS_WANTED
    if any(day.stood_still for day in days):
        return Readiness.NOT_KNOWN, Why.STOOD_STILL
    return Readiness.NOT_KNOWN, Why.FEW_DAYS


def _told(day: SpotDay) -> Json:
    return {
        "on": day.on.isoformat(),
        "covered_s": day.covered_s,
        "expected_s": day.expected_s,
        "below_s": day.below_s,
        "above_s": day.above_s,
        "mean": None if day.mean is None else round(day.mean, 3),
        "lowest": day.lowest,
        "highest": day.highest,
        "outside": day.outside,
    }
