"""The life stages still to come, and what is different then."""

from collections.abc import Iterator
from datetime import date, timedelta

from husbandry.rules.profiles.resolving import (
    company_for,
    feeding_for,
    housing_for,
    laying_for,
    light_hours_for,
    resolve_targets,
    supplements_for,
    weighing_for,
    weight_band_for,
)
from husbandry.rules.profiles.values import Profile
from husbandry.rules.sentences import numbers
from husbandry.rules.vocabulary import Reproduction, Sex
from placements.rules.packets import words
from placements.rules.packets.plans import Changed, StageChange

NOTHING = "nothing said"


def stage_changes(
    profile: Profile, *, sex: Sex, hatched_on: date | None, on: date
) -> tuple[StageChange, ...]:
    """Return the stages that begin after a day, each against the one before it.

    Args:
        profile: whose stages follow on one another.
        sex: the animal's, as far as it is known.
        hatched_on: day 0; None: not known, and then nothing can be foretold.
        on: stages that began on this day or before are not told.

    Returns:
        In order; what is wanted of a resting animal, because nobody knows its
        reproductive state then. Agreements for this animal are left out: they end.
    """
    if hatched_on is None:
        return ()
    found = []
    for before, stage in zip(profile.stages, profile.stages[1:], strict=False):
        begins_on = hatched_on + timedelta(days=stage.from_days)
        if begins_on > on:
            now = dict(needs_of_stage(profile, before.code, sex))
            then = dict(needs_of_stage(profile, stage.code, sex))
            found.append(StageChange(begins_on, stage.name, _compare(now, then)))
    return tuple(found)


def _compare(now: dict[str, str], then: dict[str, str]) -> tuple[Changed, ...]:
    return tuple(
        Changed(what, now.get(what, NOTHING), then.get(what, NOTHING))
        for what in dict.fromkeys((*now, *then))
        if now.get(what) != then.get(what)
    )


def needs_of_stage(profile: Profile, stage: str, sex: Sex) -> Iterator[tuple[str, str]]:
    """Yield what a stage needs as pairs of matter and words."""
    yield from _conditions(profile, stage, sex)
    if room := housing_for(profile, stage, sex):
        size = words.size_both(room.min_width_cm, room.min_depth_cm, room.min_height_cm)
        yield "Enclosure", f"at least {size}"
    if company := company_for(profile, stage):
        yield "Company", "alone" if company.alone else f"up to {company.max_group}"
    if laying_for(profile, stage, sex):
        yield "Laying bin", "always there"
    yield from _care(profile, stage, sex)


def _conditions(profile: Profile, stage: str, sex: Sex) -> Iterator[tuple[str, str]]:
    targets = resolve_targets(
        profile,
        stage=stage,
        sex=sex,
        reproduction=Reproduction.RESTING,
        overrides=(),
        on=date.min,
    )
    for t in targets:
        what = words.spot(t.quantity, t.zone, t.period)
        yield what, words.wanted_both(t.low, t.high, t.quantity)
    if light := light_hours_for(profile, stage):
        hours = words.number_range(light.hours_low, light.hours_high)
        yield "Hours of light", f"{hours} a day"


def _care(profile: Profile, stage: str, sex: Sex) -> Iterator[tuple[str, str]]:
    if feeding := feeding_for(profile, stage):
        yield (
            "Food",
            f"{words.number_range(feeding.portion_low, feeding.portion_high)} "
            f"{feeding.unit}, "
            f"{numbers.every(feeding.every_days_low, feeding.every_days_high)}",
        )
    if supplements := supplements_for(profile, stage):
        yield "Supplements", ", ".join(s.name for s in supplements)
    if weighing := weighing_for(profile, stage):
        yield "Weighing", numbers.every(weighing.every_days, weighing.every_days)
    if mass := weight_band_for(profile, stage, sex):
        yield "Expected weight", words.mass_band(mass.low_g, mass.high_g)
