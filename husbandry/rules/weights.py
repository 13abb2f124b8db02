"""What an animal's weighings say: loss, stalled growth, out of band, overdue.

No published rule says from which loss a lizard needs a vet. The limits are those of
the profile's `WeightPolicy`, a convention that every assessment names as such. An
amount exactly at a limit of loss counts as reached (≥).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

from husbandry.rules.profiles.values import (
    Provenance,
    Stage,
    WeighingRule,
    WeightBand,
    WeightPolicy,
)
from husbandry.rules.standstills import find_standstill
from husbandry.rules.vocabulary import FindingKind, Urgency
from husbandry.rules.weight_losses import find_loss
from husbandry.rules.weight_series import WeightSeries


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
    sheds: Sequence[date] = (),
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
        sheds: local days on which it shed. Where one lies within the policy's days
            before the last weighing, the lesser loss is only watched.

    Returns:
        At most one assessment of each kind: loss, standstill, band, overdue.

    Source:
        weight-loss-convention: no published rule exists, the policy is a
        configurable convention. Standstill by sen-1968.
    """
    series = series_in_force(points, on=on, zone=zone)
    since_laying = _since_laying(series, reproduction)
    found = (
        _loss(since_laying, policy, sheds),
        _standstill(since_laying, policy, stage),
        _out_of_band(series, band, reproduction),
        _overdue(series, weighing, on=on, arrived_on=arrived_on),
    )
    return tuple(assessment for assessment in found if assessment is not None)


def longest_window_days(policy: WeightPolicy) -> int:
    """Return over how many days before its last weighing an animal is judged."""
    return max(policy.loss_watch_days, policy.loss_now_days, policy.stall_days)


def series_in_force(
    points: Sequence[WeighingPoint], *, on: date, zone: ZoneInfo
) -> WeightSeries:
    """Return the weighings that held at the end of a local day, oldest first.

    Args:
        points: in any order; those that another one corrects are left out.
        on: the local day; later weighings are left out.
        zone: whose local days count.
    """
    corrected = {p.corrects for p in points if p.corrects is not None}
    valid = [p for p in points if p.id not in corrected] if corrected else points
    # Queries hand them out in order already.
    if any((a.at, a.id) > (b.at, b.id) for a, b in pairwise(valid)):
        valid = sorted(valid, key=lambda p: (p.at, p.id))
    whole = WeightSeries(
        zone, tuple([p.at for p in valid]), tuple([p.mass_g for p in valid])
    )
    end = whole.first_from(on + timedelta(days=1))
    if end == len(whole):
        return whole
    return WeightSeries(zone, whole.at[:end], whole.mass_g[:end])


def _since_laying(
    series: WeightSeries, reproduction: Sequence[GravidSpell]
) -> WeightSeries:
    if not reproduction or not len(series):
        return series
    last_on = series.on(-1)
    laid = [s.until_on for s in reproduction if s.until_on is not None]
    last = max((on for on in laid if on <= last_on), default=None)
    if last is None:
        return series
    return series.after(series.first_from(last + timedelta(days=1)))


def _holds(spell: GravidSpell, on: date) -> bool:
    return spell.from_on <= on and (spell.until_on is None or on <= spell.until_on)


def _loss(
    series: WeightSeries, policy: WeightPolicy, sheds: Sequence[date]
) -> WeightAssessment | None:
    loss = find_loss(series, policy, sheds)
    if loss is None:
        return None
    return WeightAssessment(
        FindingKind.WEIGHT_LOSS, loss.urgency, loss.facts, "", policy.provenance
    )


def _standstill(
    series: WeightSeries, policy: WeightPolicy, stage: Stage | None
) -> WeightAssessment | None:
    facts = find_standstill(series, policy, stage)
    if facts is None:
        return None
    return WeightAssessment(
        FindingKind.GROWTH_STALLED, Urgency.TODAY, facts, "", policy.provenance
    )


def _out_of_band(
    series: WeightSeries,
    band: WeightBand | None,
    reproduction: Sequence[GravidSpell],
) -> WeightAssessment | None:
    if band is None or not len(series):
        return None
    mass_g = series.mass_g[-1]
    if band.low_g <= mass_g <= band.high_g:
        return None
    last_on, above = series.on(-1), mass_g > band.high_g
    if above and any(_holds(spell, last_on) for spell in reproduction):
        return None
    facts = {
        "mass_g": str(mass_g),
        "on": last_on.isoformat(),
        "low_g": str(band.low_g),
        "high_g": str(band.high_g),
        "side": "above" if above else "below",
    }
    return WeightAssessment(
        FindingKind.WEIGHT_OUT_OF_BAND, Urgency.WATCH, facts, band.id, band.provenance
    )


def _overdue(
    series: WeightSeries,
    rule: WeighingRule | None,
    *,
    on: date,
    arrived_on: date,
) -> WeightAssessment | None:
    """Say whether more days have passed than the rule allows (exactly as many do).

    What it weighed before it came, or came again, says nothing of the time here.
    """
    if rule is None:
        return None
    last_on = series.on(-1) if len(series) else None
    if last_on is not None and last_on < arrived_on:
        last_on = None
    days = (on - (last_on or arrived_on)).days
    if days <= rule.overdue_after_days:
        return None
    facts = {
        "last_on": last_on.isoformat() if last_on else None,
        "last_g": str(series.mass_g[-1]) if last_on else None,
        "arrived_on": arrived_on.isoformat(),
        "days": days,
        "every_days": rule.every_days,
        "overdue_after_days": rule.overdue_after_days,
    }
    return WeightAssessment(
        FindingKind.WEIGHING_OVERDUE, Urgency.WATCH, facts, rule.id, rule.provenance
    )
