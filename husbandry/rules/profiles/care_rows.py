"""What a profile says about daily care: misting, lamps, feeders, signs, growth.

Which of several rows wins is settled as in `scopes`; what is asked by its name is
None where the profile does not say it.
"""

from datetime import date, timedelta

from husbandry.rules.profiles.scopes import most_specific
from husbandry.rules.profiles.values import (
    FeederNote,
    GrowthReference,
    LampRule,
    MistingRule,
    Profile,
    WarningSign,
)
from husbandry.rules.profiles.vocabulary import FeederUse
from husbandry.rules.vocabulary import LampKind, MistingTime, Sex


def misting_for(profile: Profile, stage: str | None) -> tuple[MistingRule, ...]:
    """Return how an animal's enclosure is misted, at most once for each time.

    Args:
        profile: read without ties.
        stage: the animal's life stage; None: not known, met by rows for all only.

    Returns:
        In the order of the day, before lights-on first; empty where nothing is said.
    """
    found = (
        most_specific((r for r in profile.misting if r.time is time), stage=stage)
        for time in MistingTime
    )
    return tuple(rule for rule in found if rule is not None)


def settling_until(
    profile: Profile, *, arrived_on: date, hatched_on: date | None, on: date
) -> date | None:
    """Return the last day on which a newcomer is left alone.

    Args:
        profile: whose rule on settling holds.
        arrived_on: the local day of its arrival, which counts as the first.
        hatched_on: an animal that came on the day it hatched is no newcomer; None:
            not known.
        on: the local day asked about.

    Returns:
        That day; None before the arrival, once it is over, and where the profile
        says nothing.
    """
    rule = profile.settling
    if rule is None or arrived_on == hatched_on:
        return None
    last_on = arrived_on + timedelta(days=rule.days - 1)
    return last_on if arrived_on <= on <= last_on else None


def lamp_rule_for(profile: Profile, kind: LampKind) -> LampRule | None:
    """Return how a kind of lamp is measured and replaced, or None."""
    return next((r for r in profile.lamps if r.kind is kind), None)


def reference_for(profile: Profile, sex: Sex) -> GrowthReference | None:
    """Return the published growth that an animal is held to.

    Args:
        profile: with at most one reference a sex.
        sex: the animal's, possibly unknown.

    Returns:
        The reference of its sex; failing that the one of both; None where neither
        is published. Never the other sex's.
    """
    by_sex = {reference.sex: reference for reference in profile.growth_references}
    return by_sex.get(sex) or by_sex.get(None)


def warning_sign(profile: Profile, sign_id: str) -> WarningSign | None:
    """Return the warning sign of this id, or None where the profile has none."""
    return next((s for s in profile.warning_signs if s.id == sign_id), None)


def feeder(profile: Profile, feeder_id: str) -> FeederNote | None:
    """Return the feeder of this id, or None where the profile has none."""
    return next((f for f in profile.feeders if f.id == feeder_id), None)


def staples_for(profile: Profile, age_days: int | None) -> tuple[FeederNote, ...]:
    """Return the staple feeders that suit an age, in the profile's order.

    Args:
        profile: whose feeders say from which day of age they are given.
        age_days: the animal's, its first day as 0; a feeder's first day counts.
            None: not known, so only what is given from hatching on.

    Returns:
        None of those that are treats, or never given; possibly empty.
    """
    age = 0 if age_days is None else age_days
    return tuple(
        f for f in profile.feeders if f.use is FeederUse.STAPLE and f.from_days <= age
    )
