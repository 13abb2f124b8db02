"""How one animal grows: all that its weighings, lengths and clutch-mates say."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from husbandry.rules.assessments import Assessment
from husbandry.rules.growth.choosing import Choice, choose_growth
from husbandry.rules.growth.comparing import (
    AmongMates,
    ByReference,
    among_mates,
    by_reference,
    clutch_mates,
)
from husbandry.rules.growth.condition import ConditionPoint, condition_points
from husbandry.rules.growth.judging import assessments_of, switched_off
from husbandry.rules.growth.projecting import Projection, age_at_mass
from husbandry.rules.growth.recorded import Aged, GrowthRecord, Recorded, aged
from husbandry.rules.policies import Policy
from husbandry.rules.profiles.care_rows import reference_for
from husbandry.rules.profiles.resolving import stage_on, weight_band_for
from husbandry.rules.profiles.values import Profile, Stage, WeightBand
from husbandry.rules.trends import NoSlopeError, Slope, theil_sen
from husbandry.rules.vocabulary import FindingKind, Sex
from husbandry.rules.weights import GravidSpell, longest_window_days

TREND_DAYS = 30
"""Over so many days a trend is told where no care profile says."""


@dataclass(frozen=True, slots=True)
class Trend:
    """A robust trend of the mass in grams a day.

    Attributes:
        slope: with its 95 % interval; infinite where too few weighings bound it.
        from_on, to_on: the first and the last weighing that it is made of.
        window_days: over so many days up to the last weighing.
        since_laying: whether it begins after a laying, because the eggs are gone.
    """

    slope: Slope
    from_on: date
    to_on: date
    window_days: int
    since_laying: bool


@dataclass(frozen=True, slots=True)
class StageBand:
    """Masses that are plausible between two ages; a last age of None: for good."""

    from_days: int
    to_days: int | None
    band: WeightBand


@dataclass(frozen=True, slots=True)
class Sibling:
    """A clutch-mate and its weighings, oldest first."""

    animal: Recorded
    weighings: tuple[Aged, ...]


@dataclass(frozen=True, slots=True)
class Growth:
    """How one animal grows, as it stands at the end of a local day.

    Attributes:
        on: the local day, in `zone`.
        record: what all this was made of.
        profile: with the limits that its site has set; None: none is published.
        stage: its life stage, or None.
        weighings: in force, oldest first.
        siblings: clutch-mates on record, those that left too.
        conditions: mass by length, one for each length weighed within seven days.
        bands: plausible masses by age, youngest first; empty where its age, or every
            band, is not known.
        trend: None: no two weighings at different instants of the window.
        assessments: what is wrong, as the night would say it.
        switched_off: of what its site does not want to hear.
        reference: where it lies in a published reference, or None.
        among_mates: how it lies among its clutch-mates, or why that is not said.
        choice: the curves; None where its day of hatching is not known.
        gravid_weighings: how many the curves leave out, because it carried eggs.
        asked_g: the mass whose age was asked for, or None.
        projection: that age by the best curve; None without either.
    """

    on: date
    zone: ZoneInfo
    record: GrowthRecord
    profile: Profile | None
    stage: Stage | None
    weighings: tuple[Aged, ...]
    siblings: tuple[Sibling, ...]
    conditions: tuple[ConditionPoint, ...]
    bands: tuple[StageBand, ...]
    trend: Trend | None
    assessments: tuple[Assessment, ...]
    switched_off: tuple[FindingKind, ...]
    reference: ByReference | None
    among_mates: AmongMates
    choice: Choice | None
    gravid_weighings: int
    asked_g: Decimal | None
    projection: Projection | None


def growth_picture(
    record: GrowthRecord,
    *,
    profile: Profile | None,
    policies: Mapping[FindingKind, Policy],
    on: date,
    zone: ZoneInfo,
    mass_g: Decimal | None = None,
) -> Growth:
    """Work out how one animal grows.

    Args:
        record: what is on record of it and its clutch-mates.
        profile: with the limits that its site has set; None: nothing is assessed and
            nobody is compared with.
        policies: what its site decided, by kind.
        on: the local day; later weighings and lengths are left out.
        zone: whose local days count.
        mass_g: above 0; the age at it is projected.

    Raises:
        ValueError: the mass is not a number above 0.

    Source:
        mates-convention, weight-loss-convention, asymptote-support-convention.
    """
    animal = record.animal
    policy = profile.growth_policy if profile else None
    mates = clutch_mates(animal, record.mates, policy)
    weighings = aged(animal, on=on, zone=zone)
    last = weighings[-1] if weighings else None
    plain = [w for w in weighings if not _is_gravid(record.gravid, w.on)]
    choice = _choice(plain, _grown_band(profile, animal.sex))
    return Growth(
        on=on,
        zone=zone,
        record=record,
        profile=profile,
        stage=stage_on(profile, hatched_on=animal.hatched_about, on=on)
        if profile
        else None,
        weighings=weighings,
        siblings=tuple(Sibling(m, aged(m, on=on, zone=zone)) for m in mates),
        conditions=_conditions(record, on, zone),
        bands=tuple(_bands(profile, animal)) if profile else (),
        trend=trend_of(weighings, record.gravid, window_days=_window(profile)),
        assessments=assessments_of(
            record, mates, profile=profile, policies=policies, on=on, zone=zone
        )
        if profile
        else (),
        switched_off=switched_off(policies),
        reference=by_reference(
            last, reference_for(profile, animal.sex) if profile else None
        ),
        among_mates=among_mates(animal, mates, policy=policy, on=on, zone=zone),
        choice=choice,
        gravid_weighings=len(weighings) - len(plain),
        asked_g=mass_g,
        projection=_projection(choice, mass_g),
    )


def _window(profile: Profile | None) -> int:
    return longest_window_days(profile.weight_policy) if profile else TREND_DAYS


def trend_of(
    weighings: Sequence[Aged], gravid: Sequence[GravidSpell], *, window_days: int
) -> Trend | None:
    """Return the robust trend of an animal's last weighings.

    Args:
        weighings: oldest first.
        gravid: its gravid spells; what it weighed up to the day of laying does not
            count for what it weighs afterwards.
        window_days: over so many local days up to the last weighing, both included.

    Returns:
        The trend by local days; None where all weighings of the window are of one.

    Source:
        sen-1968, theil-1950.
    """
    if not weighings:
        return None
    last_on = weighings[-1].on
    first_on = last_on - timedelta(days=window_days)
    laid = [s.until_on for s in gravid if s.until_on and s.until_on <= last_on]
    since_laying = any(on >= first_on for on in laid)
    if since_laying:
        first_on = max(laid) + timedelta(days=1)
    within = [w for w in weighings if w.on >= first_on]
    try:
        slope = theil_sen(
            [w.on.toordinal() for w in within], [float(w.mass_g) for w in within]
        )
    except NoSlopeError:
        return None
    return Trend(slope, within[0].on, last_on, window_days, since_laying)


def _is_gravid(spells: Sequence[GravidSpell], on: date) -> bool:
    return any(
        spell.from_on <= on and (spell.until_on is None or on <= spell.until_on)
        for spell in spells
    )


def _grown_band(profile: Profile | None, sex: Sex) -> WeightBand | None:
    """Return what a grown animal of its kind and sex weighs, or None."""
    if profile is None or not profile.stages:
        return None
    return weight_band_for(profile, profile.stages[-1].code, sex)


def _choice(weighings: Sequence[Aged], grown: WeightBand | None) -> Choice | None:
    """Fit the curves to what was weighed from hatching on; `grown` is an adult's band."""
    points = [
        (w.age_days, float(w.mass_g))
        for w in weighings
        if w.age_days is not None and w.age_days >= 0
    ]
    if not points:
        return None
    return choose_growth(
        [age for age, _ in points],
        [mass for _, mass in points],
        grown_from_g=None if grown is None else float(grown.low_g),
    )


def _projection(choice: Choice | None, mass_g: Decimal | None) -> Projection | None:
    if mass_g is None or choice is None or choice.best is None:
        return None
    return age_at_mass(choice.best, mass_g=float(mass_g))


def _conditions(
    record: GrowthRecord, on: date, zone: ZoneInfo
) -> tuple[ConditionPoint, ...]:
    found = condition_points(record.lengths, record.animal.weighings)
    return tuple(
        point
        for point in found
        if max(point.measured_at, point.weighed_at).astimezone(zone).date() <= on
    )


def _bands(profile: Profile, animal: Recorded) -> Iterator[StageBand]:
    if animal.hatched_on is None:
        return
    for stage in profile.stages:
        band = weight_band_for(profile, stage.code, animal.sex)
        if band is not None:
            yield StageBand(stage.from_days, stage.to_days, band)
