"""Eggs that were warmer or cooler than their phase wants, weighed by what it does.

Heat on top of warmth harms embryos, the same swing where it is cool does not; so
warmth is weighed strictly and by its limit, and coolness by the development that it
costs. From how much on is a convention of this project.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from clutches.rules.incubation.sums import Outside, Sum, band_of
from clutches.rules.vocabulary import PhaseKind
from husbandry.rules.assessments import Assessment
from husbandry.rules.findings import URGENCY_ORDER
from husbandry.rules.night.climate import DECIDED_FROM_SHARE
from husbandry.rules.vocabulary import FindingKind, Urgency, Zone

K = FindingKind
DAY_S = 86_400
# Past a hard limit for so long: somebody must act at once.
PAST_HARD_FROM_S = 300
# Above the band, kelvin × hours of a day.
WARM_WATCH_FROM_KH = 1.0
WARM_TODAY_FROM_KH = 6.0
# Cool for no longer than this costs nothing that anybody could tell.
COOL_TOLERATED_S = 3600
# Days of development that a cool day costs, where a rate is known.
LOST_WATCH_FROM_DAYS = 0.1
LOST_TODAY_FROM_DAYS = 0.4
# Below the band, kelvin × hours of a day, where none is.
COOL_WATCH_FROM_KH = 12.0
COOL_TODAY_FROM_KH = 48.0
AIR_REMARK = "No probe lies among the eggs; this one is elsewhere in the incubator."


@dataclass(frozen=True, slots=True)
class _Judged:
    """What one sum says of one side; no urgency: nothing wrong was seen."""

    kind: FindingKind
    sum: Sum
    urgency: Urgency | None

    @property
    def decided(self) -> bool:
        """Say whether the data suffice to say yes or no."""
        thin = self.sum.covered_s < DECIDED_FROM_SHARE * self.sum.expected_s
        return self.urgency is not None or not thin

    @property
    def rank(self) -> tuple[int, bool, float]:
        """Return how bad it is: the lowest first."""
        order = URGENCY_ORDER[self.urgency] if self.urgency else len(URGENCY_ORDER)
        side = self.sum.above if self.kind is K.EGGS_TOO_WARM else self.sum.below
        return order, self.decided, -side.kelvin_s


def assess_excursions(sums: Iterable[Sum]) -> tuple[Assessment, ...]:
    """Say which eggs were too warm or too cool within a day.

    Args:
        sums: what the probes of the incubators add up to, wish by wish.

    Returns:
        At most one for each side, wish and part of the day: of several probes the
        one that shows most. Undecided where one of them could not show that all was
        well and none showed what was wrong.

    Source:
        incubation-convention; fluctuating-incubation-2022 for why warmth and
        coolness are not weighed alike.
    """
    worst: dict[tuple[object, ...], _Judged] = {}
    for one in sums:
        for judged in (
            _Judged(K.EGGS_TOO_WARM, one, warm_urgency(one)),
            _Judged(K.EGGS_TOO_COOL, one, cool_urgency(one)),
        ):
            wish = one.wish
            key = (judged.kind, wish.incubator, wish.detail(one.period))
            known = worst.get(key)
            if known is None or judged.rank < known.rank:
                worst[key] = judged
    return tuple(
        _assessment(judged)
        for judged in worst.values()
        if judged.urgency or not judged.decided
    )


def warm_urgency(one: Sum) -> Urgency | None:
    """Return how urgent warmth among eggs is; None: nothing to say.

    Source:
        incubation-convention.
    """
    if one.above.past_hard_s >= PAST_HARD_FROM_S:
        return Urgency.NOW
    return _by(_kelvin_h(one.above), WARM_WATCH_FROM_KH, WARM_TODAY_FROM_KH)


def cool_urgency(one: Sum) -> Urgency | None:
    """Return how urgent coolness among eggs is; None: nothing to say.

    Source:
        incubation-convention.
    """
    if one.below.past_hard_s >= PAST_HARD_FROM_S:
        return Urgency.NOW
    if one.below.seconds <= COOL_TOLERATED_S:
        return None
    lost = lost_days(one)
    if lost is not None:
        return _by(lost, LOST_WATCH_FROM_DAYS, LOST_TODAY_FROM_DAYS)
    return _by(_kelvin_h(one.below), COOL_WATCH_FROM_KH, COOL_TODAY_FROM_KH)


def lost_days(one: Sum) -> float | None:
    """Return how much development the time below the band cost, in days.

    Development runs in proportion to the kelvins above where it stands still. What
    was lost is what the set point (the band's middle) would have brought in that
    time, less what the measured temperature brought; at most all of it.

    Args:
        one: of a warm phase; in a cool one eggs rest, and nothing is lost.

    Returns:
        Days at the set point; None in a cool phase, or where it is not known at
        which temperature development stands still.

    Source:
        incubation-convention; the linear rate is the degree-day model of the
        forecast.
    """
    low, high = (float(end) for end in band_of(one.wish, one.period))
    zero = one.wish.zero_c
    set_c = (low + high) / 2
    if one.wish.phase.kind is PhaseKind.COOL or zero is None or zero >= set_c:
        return None
    below_set_kelvin_s = one.below.kelvin_s + (set_c - low) * one.below.seconds
    lost_s = min(below_set_kelvin_s / (set_c - zero), one.below.seconds)
    return lost_s / DAY_S


def _kelvin_h(side: Outside) -> float:
    return side.kelvin_s / 3600


def _by(amount: float, watch_from: float, today_from: float) -> Urgency | None:
    if amount >= today_from:
        return Urgency.TODAY
    return Urgency.WATCH if amount >= watch_from else None


def _assessment(judged: _Judged) -> Assessment:
    one, wish = judged.sum, judged.sum.wish
    side = one.above if judged.kind is K.EGGS_TOO_WARM else one.below
    past_hard = side.past_hard_s >= PAST_HARD_FROM_S
    limits = wish.plan.limit_provenance
    return Assessment(
        kind=judged.kind,
        urgency=judged.urgency or Urgency.WATCH,
        facts=_facts(judged.kind, one, past_hard=past_hard) if judged.urgency else {},
        rule_id=wish.plan.rule_id,
        provenance=(limits if past_hard else None) or wish.plan.provenance,
        detail=wish.detail(one.period),
        decided=judged.decided,
        enclosure=wish.incubator,
    )


def _facts(kind: FindingKind, one: Sum, *, past_hard: bool) -> dict[str, Any]:
    warm = kind is K.EGGS_TOO_WARM
    return {
        "boxes": list(one.wish.boxes),
        "eggs": one.wish.eggs,
        "plan": one.wish.plan.name,
        "phase": one.wish.phase.kind.value,
        "period": one.period.value if one.period else None,
        "probe": one.probe.code,
        "remark": "" if one.probe.zone is Zone.EGGS else AIR_REMARK,
        **(_warm(one) if warm else _cool(one)),
        "past_hard": past_hard,
        "mean": one.mean_c,
        "covered_s": one.covered_s,
        "expected_s": one.expected_s,
    }


def _warm(one: Sum) -> dict[str, Any]:
    hard = one.wish.plan.hard_high_c
    return {
        "high": float(band_of(one.wish, one.period)[1]),
        "hard_high": None if hard is None else float(hard),
        "highest": one.above.extreme_c,
        "above_s": one.above.seconds,
        **_extent(one.above),
    }


def _cool(one: Sum) -> dict[str, Any]:
    hard, lost = one.wish.plan.hard_low_c, lost_days(one)
    return {
        "low": float(band_of(one.wish, one.period)[0]),
        "hard_low": None if hard is None else float(hard),
        "lowest": one.below.extreme_c,
        "below_s": one.below.seconds,
        **_extent(one.below),
        "lost_days": None if lost is None else round(lost, 2),
        "zero_c": None if lost is None else one.wish.zero_c,
    }


def _extent(side: Outside) -> dict[str, Any]:
    return {
        "longest_s": side.longest_s,
        "past_hard_s": side.past_hard_s,
        "degree_hours": round(_kelvin_h(side), 2),
    }
