"""Whether a young animal has stopped growing."""

from datetime import timedelta
from math import isfinite
from typing import Any

from husbandry.rules.profiles.values import Stage, WeightPolicy
from husbandry.rules.trends import theil_sen
from husbandry.rules.weight_losses import CONVENTION
from husbandry.rules.weight_series import WeightSeries


def find_standstill(
    series: WeightSeries, policy: WeightPolicy, stage: Stage | None
) -> dict[str, Any] | None:
    """Say whether a young animal has stopped growing.

    Judged over the policy's days before the last weighing, begun with the last
    weighing before them, so that they are spanned whole; with fewer weighings than
    the policy asks for nothing is said. It has stopped when the trend is not
    upwards, or when it ends no heavier than it began.

    Args:
        series: its weighings since it last laid.
        policy: which stages grow, over which days.
        stage: its life stage; None: unknown, and nothing is said.

    Returns:
        The numbers that made it, or None where it grows or cannot be judged.

    Source:
        sen-1968.
    """
    if stage is None or stage.code not in policy.stall_stages or not len(series):
        return None
    begun_on = series.on(-1) - timedelta(days=policy.stall_days)
    start = series.first_from(begun_on + timedelta(days=1)) - 1
    if start < 0 or len(series) - start < max(policy.stall_min_weighings, 2):
        return None
    spanned = series.after(start)
    trend = theil_sen(
        [spanned.days_between(0, place) for place in range(len(spanned))],
        [float(mass_g) for mass_g in spanned.mass_g],
    )
    if trend.slope > 0 and spanned.mass_g[-1] > spanned.mass_g[0]:
        return None
    return {
        **spanned.from_to(0, -1),
        "weighings": trend.n,
        "slope_g_per_day": round(trend.slope, 4),
        "slope_low": round(trend.low, 4) if isfinite(trend.low) else None,
        "slope_high": round(trend.high, 4) if isfinite(trend.high) else None,
        "stage": stage.name,
        "window_days": policy.stall_days,
        "policy": CONVENTION,
    }
