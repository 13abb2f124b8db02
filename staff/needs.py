"""What an animal needs today, line by line, each with on whose word it stands."""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal

from husbandry.models import Animal
from husbandry.queries.needs import Needs
from husbandry.rules.profiles.resolving import (
    ResolvedTarget,
    company_for,
    feeding_for,
    housing_for,
    laying_for,
    light_hours_for,
    weighing_for,
    weight_band_for,
)
from husbandry.rules.profiles.values import Disagreement, Profile
from husbandry.rules.sentences import names, numbers
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.sentences.tasks import span
from husbandry.rules.vocabulary import Quantity, Sex
from staff.care_needs import daily_care, settling
from staff.sourced import Need, sourced, title


def needs_told(
    needs: Needs, *, animal: Animal, on: date, units: Units
) -> tuple[Need, ...]:
    """Return everything that an animal needs on a day, in the reader's units."""
    if needs.version is None:
        return ()
    profile = needs.version.profile
    told = [_climate(target, profile, units) for target in needs.targets]
    stage = needs.stage.code if needs.stage else None
    sex = Sex(animal.sex)
    return (
        *settling(profile, animal, on),
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
    return sourced(
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
    said_by = title(other.provenance.source, profile)
    if other.low is None and other.high is None:
        return f"{said_by}: {other.provenance.note}"
    band = numbers.band(_float(other.low), _float(other.high), quantity, units)
    return f"{said_by}: {band}"


def _housing(profile: Profile, stage: str | None, sex: Sex) -> Iterator[Need]:
    if light := light_hours_for(profile, stage):
        value = f"{light.hours_low:f} to {light.hours_high:f} h a day"
        yield sourced("Light", value, light.provenance, profile)
    if size := housing_for(profile, stage, sex):
        value = (
            f"at least {size.min_width_cm:f} × {size.min_depth_cm:f} × "
            f"{size.min_height_cm:f} cm (width × depth × height)"
        )
        yield sourced("Enclosure", value, size.provenance, profile)
    if company := company_for(profile, stage):
        value = "alone" if company.alone else f"at most {company.max_group} together"
        if company.no_sight_of_others:
            value += ", out of sight of others"
        yield sourced("Company", value, company.provenance, profile)
    if laying := laying_for(profile, stage, sex):
        value = "a place to dig and lay, always"
        yield sourced("Laying bin", value, laying.provenance, profile)


def _routine(
    profile: Profile, stage: str | None, sex: Sex, units: Units
) -> Iterator[Need]:
    if food := feeding_for(profile, stage):
        often = numbers.every(food.every_days_low, food.every_days_high)
        portion = span(food.portion_low, food.portion_high)
        value = f"{often}: {portion} {food.unit}. {food.note}".strip()
        yield sourced("Food", value, food.provenance, profile)
    yield from daily_care(profile, stage)
    if weighing := weighing_for(profile, stage):
        value = numbers.every(weighing.every_days, weighing.every_days)
        yield sourced("Weighing", value, weighing.provenance, profile)
    if band := weight_band_for(profile, stage, sex):
        low, high = (numbers.mass(g, units) for g in (band.low_g, band.high_g))
        yield sourced("Plausible weight", f"{low} to {high}", band.provenance, profile)
