"""What a care profile says of laying and birth, in whole days and pieces."""

from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR

from clutches.rules.vocabulary import ClutchKind
from husbandry.rules.profiles.resolving import incubation_for
from husbandry.rules.profiles.values import IncubationRule, Profile, Provenance
from husbandry.rules.profiles.vocabulary import IncubationMatter


@dataclass(frozen=True, slots=True)
class Span:
    """Whole numbers from one to another, both included, as a profile's row says.

    Attributes:
        low: rounded down; None: the row names no least.
        high: rounded up; None: the row names no most.
    """

    low: int | None
    high: int | None
    rule_id: str
    provenance: Provenance


def span_of(profile: Profile | None, matter: IncubationMatter) -> Span | None:
    """Return what a profile says about one matter, in whole numbers, or None.

    Args:
        profile: None: the species has none.
        matter: in days or pieces.
    """
    rule = incubation_for(profile, matter) if profile else None
    return _span(rule) if rule else None


def kind_of(profile: Profile | None) -> ClutchKind | None:
    """Say whether a species lays eggs or bears live young; None: not told.

    A profile with days of gestation is one of live-bearers.
    """
    if span_of(profile, IncubationMatter.GESTATION_DAYS) is not None:
        return ClutchKind.LIVE_YOUNG
    laying = span_of(profile, IncubationMatter.MATING_TO_LAYING_DAYS)
    hatching = span_of(profile, IncubationMatter.HATCH_DAYS)
    return ClutchKind.EGGS if laying or hatching else None


def carried_days(profile: Profile | None) -> Span | None:
    """Return for how many days a mated female carries eggs or young, or None."""
    gestation = span_of(profile, IncubationMatter.GESTATION_DAYS)
    return gestation or span_of(profile, IncubationMatter.MATING_TO_LAYING_DAYS)


def _span(rule: IncubationRule) -> Span:
    low = None if rule.low is None else int(rule.low.to_integral_value(ROUND_FLOOR))
    high = (
        None if rule.high is None else int(rule.high.to_integral_value(ROUND_CEILING))
    )
    return Span(low, high, rule.id, rule.provenance)
