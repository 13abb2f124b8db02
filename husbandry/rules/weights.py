"""What an animal's weighings say: loss, stalled growth, out of band, overdue.

No published rule says from which loss a lizard needs a vet. The limits are those of
the profile's `WeightPolicy`, a convention that every assessment names as such. An
amount exactly at a limit of loss counts as reached (≥).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from math import isfinite
from typing import Any
from zoneinfo import ZoneInfo

from husbandry.rules.profiles.values import (
    Provenance,
    Stage,
    WeighingRule,
    WeightBand,
    WeightPolicy,
)
from husbandry.rules.trends import theil_sen
from husbandry.rules.vocabulary import FindingKind, Urgency

CONVENTION = "convention"
DAY_S = 86_400


@dataclass(frozen=True, slots=True)
class WeighingPoint:
    """One weighing.

    Attributes:
        corrects: the key of the weighing that it replaces, or None.
    """

    id: int
    at: datetime
    mass_g: Decimal
    corrects: int | None = None


@dataclass(frozen=True, slots=True)
class GravidSpell:
    """From when until when a female carried eggs; the last day is that of laying."""

    from_on: date
    until_on: date | None


@dataclass(frozen=True, slots=True)
class WeightAssessment:
    """One thing that the weighings say.

    Attributes:
        facts: the numbers that made it, as plain JSON values; masses as text, so
            that they stay exact.
        rule_id: the profile's row; "" for the policy, which is one for a profile.
        provenance: of that row or policy.
    """

    kind: FindingKind
    urgency: Urgency
    facts: dict[str, Any]
    rule_id: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class _Weighed:
    """A weighing with the local day it belongs to."""

    on: date
    point: WeighingPoint


def assess_weights(
    points: Sequence[WeighingPoint],
    *,
    on: date,
    zone: ZoneInfo,
    policy: WeightPolicy,
    band: WeightBand | None,
    weighing: WeighingRule | None,
    stage: Stage | None,
    arrived_on: date,
    reproduction: Sequence[GravidSpell] = (),
) -> tuple[WeightAssessment, ...]:
    """Assess one animal's weighings as they stood at the end of a local day.

    Args:
        points: in any order. One that another point corrects is left out, and so
            is every weighing on a later local day than `on`.
        on: the local day.
        zone: whose local days count.
        policy: from which loss and which standstill on somebody is told.
        band: masses that are plausible for the animal; None: nothing is said.
        weighing: how often it is weighed; None: it is never overdue.
        stage: its life stage; None: unknown, so that no standstill is assessed.
        arrived_on: its first day in care; counts where it was never weighed.
        reproduction: its gravid spells. What it weighed up to the day of laying is
            not held against what it weighs afterwards, because the eggs are gone;
            while it carries eggs it may weigh more than its band.

    Returns:
        At most one assessment of each kind: loss, standstill, band, overdue.

    Source:
        weight-loss-convention: no published rule exists, the policy is a
        configurable convention. Standstill by sen-1968.
    """
    weighed = _in_force(points, on=on, zone=zone)
    since_laying = _since_laying(weighed, reproduction)
    gravid = any(_holds(spell, weighed[-1].on) for spell in reproduction if weighed)
    found = (
        _loss(since_laying, policy),
        _standstill(since_laying, policy, stage),
        _out_of_band(weighed, band, gravid=gravid),
        _overdue(weighed, weighing, on=on, arrived_on=arrived_on),
    )
    return tuple(assessment for assessment in found if assessment is not None)


def longest_window_days(policy: WeightPolicy) -> int:
    """Return over how many days before its last weighing an animal is judged."""
    return max(policy.loss_watch_days, policy.loss_now_days, policy.stall_days)


def _in_force(
    points: Sequence[WeighingPoint], *, on: date, zone: ZoneInfo
) -> tuple[_Weighed, ...]:
    corrected = {p.corrects for p in points if p.corrects is not None}
    weighed = (
        _Weighed(p.at.astimezone(zone).date(), p)
        for p in points
        if p.id not in corrected
    )
    ordered = sorted(weighed, key=lambda w: (w.point.at, w.point.id))
    return tuple(w for w in ordered if w.on <= on)


def _since_laying(
    weighed: tuple[_Weighed, ...], reproduction: Sequence[GravidSpell]
) -> tuple[_Weighed, ...]:
    if not weighed:
        return ()
    laid = [s.until_on for s in reproduction if s.until_on is not None]
    last = max((on for on in laid if on <= weighed[-1].on), default=date.min)
    return tuple(w for w in weighed if w.on > last)


def _holds(spell: GravidSpell, on: date) -> bool:
    return spell.from_on <= on and (spell.until_on is None or on <= spell.until_on)


def _loss(
    weighed: tuple[_Weighed, ...], policy: WeightPolicy
) -> WeightAssessment | None:
    """Hold the last weighing against the heaviest before it, in each window.

    The windows end with the last weighing, not with tonight: an animal that lost
    weight and was not weighed since has not recovered.
    """
    for urgency, limit_pct, window_days in (
        (Urgency.NOW, policy.loss_now_pct, policy.loss_now_days),
        (Urgency.TODAY, policy.loss_watch_pct, policy.loss_watch_days),
    ):
        window = tuple(_window(weighed, window_days))
        if not window:
            continue
        last, heaviest = window[-1], max(window, key=lambda w: w.point.mass_g)
        lost_pct = 100 * (1 - last.point.mass_g / heaviest.point.mass_g)
        # Compared as a product, so that exactly at the limit is at the limit.
        lost_g = heaviest.point.mass_g - last.point.mass_g
        if lost_g > 0 and 100 * lost_g >= limit_pct * heaviest.point.mass_g:
            facts = {
                **_from_to(heaviest, last),
                "change_pct": -round(float(lost_pct), 2),
                "limit_pct": float(limit_pct),
                "window_days": window_days,
                "policy": CONVENTION,
            }
            return WeightAssessment(
                FindingKind.WEIGHT_LOSS, urgency, facts, "", policy.provenance
            )
    return None


def _window(weighed: tuple[_Weighed, ...], days: int) -> Iterator[_Weighed]:
    if not weighed:
        return
    first_on = weighed[-1].on - timedelta(days=days)
    yield from (w for w in weighed if w.on >= first_on)


def _from_to(first: _Weighed, last: _Weighed) -> dict[str, Any]:
    return {
        "from_g": str(first.point.mass_g),
        "from_on": first.on.isoformat(),
        "to_g": str(last.point.mass_g),
        "to_on": last.on.isoformat(),
        "days": (last.on - first.on).days,
    }


def _standstill(
    weighed: tuple[_Weighed, ...], policy: WeightPolicy, stage: Stage | None
) -> WeightAssessment | None:
    """Say whether a young animal has stopped growing.

    Judged over the policy's days before the last weighing, begun with the last
    weighing before them, so that they are spanned whole; with fewer weighings than
    the policy asks for nothing is said. It has stopped when the trend is not
    upwards, or when it ends no heavier than it began.
    """
    if stage is None or stage.code not in policy.stall_stages or not weighed:
        return None
    begun = weighed[-1].on - timedelta(days=policy.stall_days)
    start = max((i for i, w in enumerate(weighed) if w.on <= begun), default=None)
    if start is None or len(weighed) - start < max(policy.stall_min_weighings, 2):
        return None
    spanned = weighed[start:]
    first, last = spanned[0], spanned[-1]
    trend = theil_sen(
        [(w.point.at - first.point.at).total_seconds() / DAY_S for w in spanned],
        [float(w.point.mass_g) for w in spanned],
    )
    if trend.slope > 0 and last.point.mass_g > first.point.mass_g:
        return None
    facts = {
        **_from_to(first, last),
        "weighings": trend.n,
        "slope_g_per_day": round(trend.slope, 4),
        "slope_low": round(trend.low, 4) if isfinite(trend.low) else None,
        "slope_high": round(trend.high, 4) if isfinite(trend.high) else None,
        "stage": stage.name,
        "window_days": policy.stall_days,
        "policy": CONVENTION,
    }
    return WeightAssessment(
        FindingKind.GROWTH_STALLED, Urgency.TODAY, facts, "", policy.provenance
    )


def _out_of_band(
    weighed: tuple[_Weighed, ...], band: WeightBand | None, *, gravid: bool
) -> WeightAssessment | None:
    if band is None or not weighed:
        return None
    last = weighed[-1]
    if last.point.mass_g < band.low_g:
        side = "below"
    elif last.point.mass_g > band.high_g and not gravid:
        side = "above"
    else:
        return None
    facts = {
        "mass_g": str(last.point.mass_g),
        "on": last.on.isoformat(),
        "low_g": str(band.low_g),
        "high_g": str(band.high_g),
        "side": side,
    }
    return WeightAssessment(
        FindingKind.WEIGHT_OUT_OF_BAND, Urgency.WATCH, facts, band.id, band.provenance
    )


def _overdue(
    weighed: tuple[_Weighed, ...],
    rule: WeighingRule | None,
    *,
    on: date,
    arrived_on: date,
) -> WeightAssessment | None:
    """Say whether more days have passed than the rule allows (exactly as many do)."""
    if rule is None:
        return None
    since = weighed[-1].on if weighed else arrived_on
    days = (on - since).days
    if days <= rule.overdue_after_days:
        return None
    facts = {
        "last_on": weighed[-1].on.isoformat() if weighed else None,
        "last_g": str(weighed[-1].point.mass_g) if weighed else None,
        "arrived_on": arrived_on.isoformat(),
        "days": days,
        "every_days": rule.every_days,
        "overdue_after_days": rule.overdue_after_days,
    }
    return WeightAssessment(
        FindingKind.WEIGHING_OVERDUE, Urgency.WATCH, facts, rule.id, rule.provenance
    )
