"""The numbers that say an animal is behind, as plain JSON values."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from math import isfinite
from typing import Any

from husbandry.rules.growth.herds import WeighedHerd
from husbandry.rules.growth.mates import MateComparison
from husbandry.rules.growth.references import centile, is_unlikely
from husbandry.rules.profiles.values import GrowthPolicy, GrowthReference
from husbandry.rules.trends import Slope

REFERENCE, MATES = "reference", "mates"


@dataclass(frozen=True, slots=True)
class Weighed:
    """What an animal weighed, on which local day and at which age.

    Attributes:
        label: the animal, as people say it.
    """

    label: str
    on: date
    age_days: int
    mass_g: Decimal


def weighed(herd: WeighedHerd, place: int, *, label: str, hatched: int) -> Weighed:
    """Return one weighing of a herd with the animal's age on that day.

    Args:
        herd: weighings in force.
        place: of the weighing in the herd.
        label: how the animal is called.
        hatched: its day of hatching as a proleptic ordinal.
    """
    day = int(herd.day[place])
    return Weighed(
        label=label,
        on=date.fromordinal(day),
        age_days=day - hatched,
        mass_g=herd.points[place].mass_g,
    )


def by_reference(
    last: Weighed, reference: GrowthReference, policy: GrowthPolicy, z: float
) -> dict[str, Any]:
    """Return what a reference says of an animal's last weighing."""
    return {
        "by": REFERENCE,
        **_weighing(last),
        "z": round(z, 2),
        "centile": round(centile(z), 1),
        "unlikely": is_unlikely(z),
        "reference": reference.id,
        "source": reference.provenance.source,
        "limit_z": float(policy.behind_z),
        "policy": policy.provenance.source,
    }


def by_mates(
    last: Weighed,
    mates: Sequence[Weighed],
    comparison: MateComparison,
    policy: GrowthPolicy,
) -> dict[str, Any]:
    """Return how an animal's last weighing lies among its mates'.

    Args:
        last: the animal's.
        mates: those compared with.
        comparison: of the two, with a score.
        policy: which mates count and from which score on it is behind.
    """
    return {
        "by": MATES,
        **_weighing(last),
        "mates": comparison.mates,
        "median_g": _grams(comparison.median_g),
        "scaled_mad_g": _grams(comparison.scaled_mad_g),
        "score": None if comparison.score is None else round(comparison.score, 2),
        "rank": comparison.rank,
        "limit_mads": float(policy.behind_mads),
        "within_days": policy.mates_within_days,
        "policy": policy.provenance.source,
        "weighed_mates": [{"animal": m.label, **_weighing(m)} for m in mates],
    }


def gain(trend: Slope | None, *, window_days: int) -> dict[str, Any]:
    """Return an animal's own gain beside the comparison; None where unknown."""
    if trend is None:
        return {"gain_g_per_day": None, "gain_days": window_days}
    return {
        "gain_g_per_day": round(trend.slope, 4),
        "gain_low": round(trend.low, 4) if isfinite(trend.low) else None,
        "gain_high": round(trend.high, 4) if isfinite(trend.high) else None,
        "gain_weighings": trend.n,
        "gain_days": window_days,
    }


def _weighing(one: Weighed) -> dict[str, Any]:
    return {
        "mass_g": str(one.mass_g),
        "on": one.on.isoformat(),
        "age_days": one.age_days,
    }


def _grams(mass_g: float | None) -> str | None:
    """Return a computed mass to 0.001 g, without zeros that say nothing."""
    if mass_g is None:
        return None
    text = f"{mass_g:.3f}"
    return text.rstrip("0").rstrip(".")
