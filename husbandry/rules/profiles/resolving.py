"""What a profile says for one animal on a day.

Of the rows that hold for it the most specific wins (see `scopes`); an override
agreed for the animal wins over any row.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from husbandry.rules.profiles.scopes import most_specific
from husbandry.rules.profiles.values import (
    CompanyRule,
    Disagreement,
    FeedingRule,
    HousingRule,
    IncubationRule,
    LayingRule,
    LightHours,
    Profile,
    Provenance,
    Stage,
    SupplementRule,
    Target,
    WeighingRule,
    WeightBand,
)
from husbandry.rules.profiles.vocabulary import IncubationMatter
from husbandry.rules.vocabulary import (
    Period,
    Quantity,
    Reproduction,
    Sex,
    Standing,
    Zone,
)

Spot = tuple[Quantity, Zone, Period]
OVERRIDE_SOURCE = "agreed-for-this-animal"


@dataclass(frozen=True, slots=True)
class Override:
    """What was agreed for one animal instead of its profile.

    It holds from `from_on` to `until_on`, both days included.
    """

    id: int
    quantity: Quantity
    zone: Zone
    period: Period
    low: Decimal | None
    high: Decimal | None
    hard_low: Decimal | None
    hard_high: Decimal | None
    tolerated_minutes: int
    from_on: date
    until_on: date
    reason: str
    by: str


@dataclass(frozen=True, slots=True)
class ResolvedTarget:
    """What is wanted for one animal at one spot in one part of the day.

    Attributes:
        target_id: the profile's row; of an override, the row it replaces, or "".
        override_id: the override that won, or None. Where there is one, the
            provenance is its own: `note` says by whom and why.
        others: what other sources say; of an override, first what it replaces.
        hard_provenance: of the hard limits; None where there are none.
        tolerance_provenance: of the tolerated minutes.
    """

    quantity: Quantity
    zone: Zone
    period: Period
    low: Decimal | None
    high: Decimal | None
    hard_low: Decimal | None
    hard_high: Decimal | None
    tolerated_minutes: int
    provenance: Provenance
    target_id: str
    override_id: int | None
    others: tuple[Disagreement, ...] = ()
    hard_provenance: Provenance | None = None
    tolerance_provenance: Provenance | None = None


def stage_on(profile: Profile, *, hatched_on: date | None, on: date) -> Stage | None:
    """Return the life stage of an animal on a day.

    Args:
        profile: whose stages follow on one another without gaps.
        hatched_on: the day of hatching or birth, as day 0; None: not known.
        on: the day asked about.

    Returns:
        The stage, whose first day counts as its own; None where the day of
        hatching is not known or lies after `on`.
    """
    if hatched_on is None or on < hatched_on:
        return None
    age_days = (on - hatched_on).days
    return next(
        (
            s
            for s in profile.stages
            if s.from_days <= age_days and (s.to_days is None or age_days < s.to_days)
        ),
        None,
    )


def resolve_targets(
    profile: Profile,
    *,
    stage: str | None,
    sex: Sex,
    reproduction: Reproduction,
    overrides: tuple[Override, ...],
    on: date,
) -> tuple[ResolvedTarget, ...]:
    """Return what is wanted for one animal on a day, at most once for each spot.

    Args:
        profile: read without ties.
        stage: the animal's life stage; None: not known.
        sex: the animal's sex, possibly unknown.
        reproduction: its reproductive state on that day.
        overrides: what was agreed for it; those that do not hold on that day are
            passed over. Of two for one spot the later begun wins, then the
            greater id.
        on: the local day.

    Returns:
        In the order quantity, zone, period. Rows of the zone `eggs` are not an
        animal's: see `egg_targets`. A hard limit that an override leaves open is
        kept from the row it replaces, unless it would lie inside the new band.
    """
    found: dict[Spot, ResolvedTarget] = {}
    for spot, rows in _by_spot(profile).items():
        if spot[1] is Zone.EGGS:
            continue
        row = most_specific(rows, stage=stage, sex=sex, reproduction=reproduction)
        if row is not None:
            found[spot] = _from_row(row)
    active = [o for o in overrides if o.from_on <= on <= o.until_on]
    for override in sorted(active, key=lambda o: (o.from_on, o.id)):
        spot = (override.quantity, override.zone, override.period)
        found[spot] = _from_override(override, _profile_row(profile, found.get(spot)))
    return tuple(found[spot] for spot in sorted(found))


def egg_targets(profile: Profile) -> tuple[ResolvedTarget, ...]:
    """Return what is wanted where eggs lie; it depends on no animal."""
    return tuple(
        _from_row(rows[0])
        for spot, rows in sorted(_by_spot(profile).items())
        if spot[1] is Zone.EGGS
    )


def light_hours_for(profile: Profile, stage: str | None) -> LightHours | None:
    """Return how long an animal's lights burn, or None where nothing is said."""
    return most_specific(profile.light_hours, stage=stage)


def housing_for(profile: Profile, stage: str | None, sex: Sex) -> HousingRule | None:
    """Return how large an animal's enclosure must be, or None."""
    return most_specific(profile.housing, stage=stage, sex=sex)


def company_for(profile: Profile, stage: str | None) -> CompanyRule | None:
    """Return whether an animal lives alone, or None."""
    return most_specific(profile.company, stage=stage)


def laying_for(profile: Profile, stage: str | None, sex: Sex) -> LayingRule | None:
    """Return why an animal needs a laying bin, or None where it needs none."""
    return most_specific(profile.laying, stage=stage, sex=sex)


def feeding_for(profile: Profile, stage: str | None) -> FeedingRule | None:
    """Return how an animal is fed, or None."""
    return most_specific(profile.feeding, stage=stage)


def weight_band_for(profile: Profile, stage: str | None, sex: Sex) -> WeightBand | None:
    """Return which masses are plausible for an animal, or None."""
    return most_specific(profile.weight_bands, stage=stage, sex=sex)


def weighing_for(profile: Profile, stage: str | None) -> WeighingRule | None:
    """Return how often an animal is weighed, or None."""
    return most_specific(profile.weighing, stage=stage)


def supplements_for(profile: Profile, stage: str | None) -> tuple[SupplementRule, ...]:
    """Return all supplements that an animal gets, in the profile's order."""
    return tuple(s for s in profile.supplements if not s.stages or stage in s.stages)


def incubation_for(profile: Profile, matter: IncubationMatter) -> IncubationRule | None:
    """Return the figure about one matter of eggs and clutches, or None."""
    return next((r for r in profile.incubation if r.matter is matter), None)


def _by_spot(profile: Profile) -> dict[Spot, list[Target]]:
    spots: dict[Spot, list[Target]] = {}
    for row in profile.targets:
        spots.setdefault((row.quantity, row.zone, row.period), []).append(row)
    return spots


def _profile_row(profile: Profile, found: ResolvedTarget | None) -> Target | None:
    if found is None:
        return None
    return next((t for t in profile.targets if t.id == found.target_id), None)


def _from_row(row: Target) -> ResolvedTarget:
    limited = row.hard_low is not None or row.hard_high is not None
    return ResolvedTarget(
        quantity=row.quantity,
        zone=row.zone,
        period=row.period,
        low=row.low,
        high=row.high,
        hard_low=row.hard_low,
        hard_high=row.hard_high,
        tolerated_minutes=row.tolerated_minutes,
        provenance=row.provenance,
        target_id=row.id,
        override_id=None,
        others=row.others,
        hard_provenance=(row.hard_provenance or row.provenance) if limited else None,
        tolerance_provenance=row.tolerance_provenance or row.provenance,
    )


def _from_override(override: Override, row: Target | None) -> ResolvedTarget:
    agreed = Provenance(
        source=OVERRIDE_SOURCE,
        standing=Standing.FROM_MEMORY,
        reviewed_on=override.from_on,
        note=f"{override.by}: {override.reason}" if override.by else override.reason,
    )
    hard_low, hard_high = _hard_limits(override, row)
    replaced = _from_row(row) if row else None
    own = override.hard_low is not None or override.hard_high is not None
    limited = hard_low is not None or hard_high is not None
    kept = agreed if own or replaced is None else replaced.hard_provenance
    return ResolvedTarget(
        quantity=override.quantity,
        zone=override.zone,
        period=override.period,
        low=override.low,
        high=override.high,
        hard_low=hard_low,
        hard_high=hard_high,
        tolerated_minutes=override.tolerated_minutes,
        provenance=agreed,
        target_id=row.id if row else "",
        override_id=override.id,
        others=_replaced(row),
        hard_provenance=kept if limited else None,
        tolerance_provenance=agreed,
    )


def _replaced(row: Target | None) -> tuple[Disagreement, ...]:
    if row is None:
        return ()
    return (Disagreement(row.low, row.high, row.provenance), *row.others)


def _hard_limits(
    override: Override, row: Target | None
) -> tuple[Decimal | None, Decimal | None]:
    ends = [end for end in (override.low, override.high) if end is not None]
    hard_low, hard_high = override.hard_low, override.hard_high
    if row is None:
        return hard_low, hard_high
    if hard_low is None and row.hard_low is not None:
        hard_low = row.hard_low if row.hard_low <= min(ends) else None
    if hard_high is None and row.hard_high is not None:
        hard_high = row.hard_high if row.hard_high >= max(ends) else None
    return hard_low, hard_high
