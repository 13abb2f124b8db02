"""Lost weight: how much, since when, and whether a shed may stand behind it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from husbandry.rules.profiles.values import WeightPolicy
from husbandry.rules.vocabulary import Urgency
from husbandry.rules.weight_series import WeightSeries

CONVENTION = "convention"


@dataclass(frozen=True, slots=True)
class WeightLoss:
    """A loss that reaches a limit, with the numbers that made it."""

    urgency: Urgency
    facts: dict[str, Any]


def find_loss(
    series: WeightSeries, policy: WeightPolicy, sheds: Sequence[date] = ()
) -> WeightLoss | None:
    """Hold the last weighing against the heaviest before it, in each window.

    The windows end with the last weighing, not with tonight: an animal that lost
    weight and was not weighed since has not recovered. An animal that sheds may
    fast and lose a little: the lesser loss is then only watched, the greater stays.

    Args:
        series: its weighings since it last laid.
        policy: the limits; an amount exactly at one counts as reached.
        sheds: local days on which it shed, in any order; later ones do not count.

    Returns:
        The most urgent loss, or None.

    Source:
        weight-loss-convention: no published rule exists, the policy is a
        configurable convention.
    """
    for urgency, limit_pct, window_days in (
        (Urgency.NOW, policy.loss_now_pct, policy.loss_now_days),
        (Urgency.TODAY, policy.loss_watch_pct, policy.loss_watch_days),
    ):
        facts = _lost(series.last_days(window_days), limit_pct)
        if facts is None:
            continue
        facts |= {"window_days": window_days, "policy": CONVENTION}
        if urgency is Urgency.NOW:
            return WeightLoss(urgency, facts)
        return _eased(WeightLoss(urgency, facts), series.on(-1), policy, sheds)
    return None


def _lost(window: WeightSeries, limit_pct: Decimal) -> dict[str, Any] | None:
    if len(window) < 2:
        return None
    last_g, heaviest_g = window.mass_g[-1], max(window.mass_g)
    # Compared as a product, so that exactly at the limit is at the limit.
    lost_g = heaviest_g - last_g
    if lost_g <= 0 or 100 * lost_g < limit_pct * heaviest_g:
        return None
    lost_pct = 100 * (1 - last_g / heaviest_g)
    return {
        **window.from_to(window.mass_g.index(heaviest_g), -1),
        "change_pct": -round(float(lost_pct), 2),
        "limit_pct": float(limit_pct),
    }


def _eased(
    loss: WeightLoss, last_on: date, policy: WeightPolicy, sheds: Sequence[date]
) -> WeightLoss:
    """Return a loss as something to watch, where the animal shed about then."""
    near = [on for on in sheds if 0 <= (last_on - on).days <= policy.shed_days]
    if not near or not policy.shed_days:
        return loss
    return WeightLoss(Urgency.WATCH, {**loss.facts, "shed_on": max(near).isoformat()})
