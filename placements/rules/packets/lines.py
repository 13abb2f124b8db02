"""Single lines of a care plan, each resolved for one animal with its source."""

from datetime import date, timedelta
from decimal import Decimal

from husbandry.rules.profiles.resolving import (
    ResolvedTarget,
    company_for,
    feeding_for,
    housing_for,
    light_hours_for,
    resolve_targets,
    weighing_for,
    weight_band_for,
)
from husbandry.rules.profiles.values import Disagreement, Profile, Provenance, Stage
from husbandry.rules.vocabulary import Sex
from placements.rules.packets.needs import Needs
from placements.rules.packets.plans import (
    Basis,
    CompanyLine,
    FeederLine,
    FeedingLine,
    LightLine,
    MassLine,
    OtherView,
    RoomLine,
    TargetLine,
    WeighingLine,
)
from placements.rules.packets.words import day, exact


def basis(provenance: Provenance) -> Basis:
    """Return a profile's provenance as a packet keeps it."""
    return Basis(
        provenance.source,
        provenance.standing,
        provenance.reviewed_on,
        provenance.note,
    )


def targets(
    profile: Profile, stage: str | None, needs: Needs, on: date
) -> tuple[TargetLine, ...]:
    """Return the bands in force for the animal on a day, agreements included."""
    agreed = {o.id: f"{o.reason} (until {day(o.until_on)})" for o in needs.overrides}
    return tuple(
        _target(t, agreed[t.override_id] if t.override_id is not None else "")
        for t in resolve_targets(
            profile,
            stage=stage,
            sex=needs.sex,
            reproduction=needs.reproduction,
            overrides=needs.overrides,
            on=on,
        )
    )


def _target(target: ResolvedTarget, agreed: str) -> TargetLine:
    return TargetLine(
        quantity=target.quantity,
        zone=target.zone,
        period=target.period,
        low=_exact(target.low),
        high=_exact(target.high),
        hard_low=_exact(target.hard_low),
        hard_high=_exact(target.hard_high),
        tolerated_minutes=target.tolerated_minutes,
        basis=basis(target.provenance),
        others=tuple(_other(o) for o in target.others),
        agreed=agreed,
    )


def _other(other: Disagreement) -> OtherView:
    return OtherView(_exact(other.low), _exact(other.high), basis(other.provenance))


def _exact(value: Decimal | None) -> Decimal | None:
    return None if value is None else exact(value)


def light_line(profile: Profile, stage: str | None) -> LightLine | None:
    """Return how long its lights burn, or None where nothing is said."""
    rule = light_hours_for(profile, stage)
    if rule is None:
        return None
    return LightLine(
        exact(rule.hours_low), exact(rule.hours_high), basis(rule.provenance)
    )


def room_line(profile: Profile, stage: str | None, sex: Sex) -> RoomLine | None:
    """Return the least size of its enclosure, or None where nothing is said."""
    rule = housing_for(profile, stage, sex)
    if rule is None:
        return None
    return RoomLine(
        exact(rule.min_width_cm),
        exact(rule.min_depth_cm),
        exact(rule.min_height_cm),
        basis(rule.provenance),
    )


def company_line(profile: Profile, stage: str | None) -> CompanyLine | None:
    """Return whether it lives alone, or None where nothing is said."""
    rule = company_for(profile, stage)
    if rule is None:
        return None
    return CompanyLine(
        rule.alone, rule.max_group, rule.no_sight_of_others, basis(rule.provenance)
    )


def feeding_line(profile: Profile, stage: str | None) -> FeedingLine | None:
    """Return how it is fed, or None where nothing is said."""
    rule = feeding_for(profile, stage)
    if rule is None:
        return None
    return FeedingLine(
        rule.every_days_low,
        rule.every_days_high,
        rule.portion_low,
        rule.portion_high,
        rule.unit,
        rule.note,
        basis(rule.provenance),
    )


def feeders(
    profile: Profile, hatched_on: date | None, on: date
) -> tuple[FeederLine, ...]:
    """Return the feeder animals, with the day from which it is old enough for each."""
    lines = []
    for feeder in profile.feeders:
        from_on = None
        if hatched_on is not None:
            due_on = hatched_on + timedelta(days=feeder.from_days)
            from_on = due_on if due_on > on else None
        lines.append(
            FeederLine(
                feeder.name, feeder.use, from_on, feeder.text, basis(feeder.provenance)
            )
        )
    return tuple(lines)


def weighing_line(profile: Profile, stage: str | None) -> WeighingLine | None:
    """Return how often to weigh it, or None where nothing is said."""
    rule = weighing_for(profile, stage)
    return WeighingLine(rule.every_days, basis(rule.provenance)) if rule else None


def masses(profile: Profile, needs: Needs, on: date) -> tuple[MassLine, ...]:
    """Return the bands of its weight over its life; of unknown age, one from `on`."""
    if needs.hatched_on is None:
        rule = weight_band_for(profile, None, needs.sex)
        if rule is None:
            return ()
        low, high = exact(rule.low_g), exact(rule.high_g)
        return (MassLine(on, None, low, high, basis(rule.provenance)),)
    found = (_mass(profile, s, needs.sex, needs.hatched_on) for s in profile.stages)
    return tuple(line for line in found if line is not None)


def _mass(
    profile: Profile, stage: Stage, sex: Sex, hatched_on: date
) -> MassLine | None:
    rule = weight_band_for(profile, stage.code, sex)
    if rule is None:
        return None
    until_on = (
        None
        if stage.to_days is None
        else hatched_on + timedelta(days=stage.to_days - 1)
    )
    return MassLine(
        hatched_on + timedelta(days=stage.from_days),
        until_on,
        exact(rule.low_g),
        exact(rule.high_g),
        basis(rule.provenance),
    )
