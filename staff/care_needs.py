"""What an animal needs of daily care, line by line, each with its source."""

from collections.abc import Iterator
from datetime import date

from husbandry.models import Animal
from husbandry.rules.profiles.care_rows import settling_until
from husbandry.rules.profiles.resolving import supplements_for
from husbandry.rules.profiles.values import Profile
from husbandry.rules.sentences.upkeep import dusting, upkeep
from staff.sourced import Need, sourced
from staff.units import day


def settling(profile: Profile, animal: Animal, on: date) -> Iterator[Need]:
    """Yield that a newcomer is left alone, while it is one."""
    rule = profile.settling
    until_on = settling_until(
        profile, arrived_on=animal.arrived_on, hatched_on=animal.hatched_on, on=on
    )
    if rule is not None and until_on is not None:
        value = f"left alone until {day(until_on)}. {rule.text}".strip()
        yield sourced("Settling in", value, rule.provenance, profile)


def daily_care(profile: Profile, stage: str | None) -> Iterator[Need]:
    """Yield what food is dusted with, and what is misted, fed and measured."""
    for supplement in supplements_for(profile, stage):
        value = f"{dusting(supplement)}. {supplement.text}".strip()
        yield sourced(supplement.name, value, supplement.provenance, profile)
    for rule, what, figures in upkeep(profile, stage):
        value = f"{figures}. {rule.text}".strip()
        yield sourced(what, value, rule.provenance, profile)
