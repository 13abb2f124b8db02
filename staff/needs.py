"""What an animal needs today, line by line, each with on whose word it stands."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from husbandry.queries.needs import Needs
from husbandry.rules.policies import POLICY_SOURCE
from husbandry.rules.profiles.resolving import (
    OVERRIDE_SOURCE,
    ResolvedTarget,
    company_for,
    feeding_for,
    housing_for,
    laying_for,
    light_hours_for,
    supplements_for,
    weighing_for,
    weight_band_for,
)
from husbandry.rules.profiles.values import Disagreement, Profile, Provenance
from husbandry.rules.profiles.vocabulary import SupplementWhen
from husbandry.rules.sentences import names, numbers
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import Quantity, Sex
from staff.units import day

AGREED = {
    OVERRIDE_SOURCE: "Agreed for this animal",
    POLICY_SOURCE: "Decided for this site",
}


@dataclass(frozen=True, slots=True)
class Need:
    """One value with its source.

    Attributes:
        source: title, standing, and when somebody last looked.
        note: what the source leaves open; may be empty.
        others: what other sources say instead.
    """

    what: str
    value: str
    source: str
    note: str
    others: tuple[str, ...]


def needs_told(needs: Needs, *, sex: Sex, units: Units) -> tuple[Need, ...]:
    """Return everything that an animal needs today, in the reader's units."""
    if needs.version is None:
        return ()
    profile = needs.version.profile
    told = [_climate(target, profile, units) for target in needs.targets]
    stage = needs.stage.code if needs.stage else None
    return (
        *told,
        *_housing(profile, stage, sex),
        *_routine(profile, stage, sex, units),
    )


def _climate(target: ResolvedTarget, profile: Profile, units: Units) -> Need:
    quantity = target.quantity
    value = numbers.band(_float(target.low), _float(target.high), quantity, units)
    limits = [
        f"{side} {numbers.value(float(hard), quantity, units)}"
        for side, hard in (("below", target.hard_low), ("above", target.hard_high))
        if hard is not None
    ]
    if limits:
        value += f"; act at once {' or '.join(limits)}"
    where = f"{names.QUANTITIES[quantity]} {names.ZONES[target.zone]}"
    others = tuple(_other(other, profile, quantity, units) for other in target.others)
    return _need(
        f"{names.sentence(where)}, by {target.period.value}",
        f"{value}. {numbers.duration(60 * target.tolerated_minutes)} outside tolerated.",
        target.provenance,
        profile,
        others,
    )


def _float(value: Decimal | None) -> float | None:
    return None if value is None else float(value)


def _other(
    other: Disagreement, profile: Profile, quantity: Quantity, units: Units
) -> str:
    title = _title(other.provenance.source, profile)
    if other.low is None and other.high is None:
        return f"{title}: {other.provenance.note}"
    band = numbers.band(_float(other.low), _float(other.high), quantity, units)
    return f"{title}: {band}"


def _need(
    what: str,
    value: str,
    given: Provenance,
    profile: Profile,
    others: tuple[str, ...] = (),
) -> Need:
    standing = names.STANDINGS[given.standing]
    source = AGREED.get(
        given.source,
        f"{_title(given.source, profile)} ({standing}; looked at "
        f"{day(given.reviewed_on)})",
    )
    return Need(what, value, source, given.note, others)


def _title(key: str, profile: Profile) -> str:
    return next((s.title for s in profile.sources if s.key == key), key)


def _housing(profile: Profile, stage: str | None, sex: Sex) -> Iterator[Need]:
    if light := light_hours_for(profile, stage):
        value = f"{light.hours_low:f} to {light.hours_high:f} h a day"
        yield _need("Light", value, light.provenance, profile)
    if size := housing_for(profile, stage, sex):
        value = (
            f"at least {size.min_width_cm:f} × {size.min_depth_cm:f} × "
            f"{size.min_height_cm:f} cm (width × depth × height)"
        )
        yield _need("Enclosure", value, size.provenance, profile)
    if company := company_for(profile, stage):
        value = "alone" if company.alone else f"at most {company.max_group} together"
        if company.no_sight_of_others:
            value += ", out of sight of others"
        yield _need("Company", value, company.provenance, profile)
    if laying := laying_for(profile, stage, sex):
        value = "a place to dig and lay, always"
        yield _need("Laying bin", value, laying.provenance, profile)


def _routine(
    profile: Profile, stage: str | None, sex: Sex, units: Units
) -> Iterator[Need]:
    if food := feeding_for(profile, stage):
        often = numbers.every(food.every_days_low, food.every_days_high)
        portion = _range(food.portion_low, food.portion_high)
        value = f"{often}: {portion} {food.unit}. {food.note}".strip()
        yield _need("Food", value, food.provenance, profile)
    for supplement in supplements_for(profile, stage):
        when = "at every feeding"
        if supplement.when is SupplementWhen.MONTH_DAYS:
            days = ", ".join(str(d) for d in supplement.month_days)
            when = f"on day {days} of the month"
        value = f"{when}. {supplement.text}".strip()
        yield _need(supplement.name, value, supplement.provenance, profile)
    if weighing := weighing_for(profile, stage):
        value = numbers.every(weighing.every_days, weighing.every_days)
        yield _need("Weighing", value, weighing.provenance, profile)
    if band := weight_band_for(profile, stage, sex):
        low, high = (numbers.mass(g, units) for g in (band.low_g, band.high_g))
        yield _need("Plausible weight", f"{low} to {high}", band.provenance, profile)


def _range(low: int, high: int) -> str:
    return str(low) if low == high else f"{low} to {high}"
