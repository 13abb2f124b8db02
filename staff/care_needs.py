"""What an animal needs of daily care, line by line, each with its source."""

from collections.abc import Iterator
from datetime import date

from husbandry.models import Animal
from husbandry.rules.profiles.care_rows import misting_for, settling_until
from husbandry.rules.profiles.resolving import supplements_for
from husbandry.rules.profiles.values import LampRule, Profile, SupplementRule
from husbandry.rules.profiles.vocabulary import SupplementWhen
from husbandry.rules.sentences import names, numbers
from husbandry.rules.sentences.tasks import LAMPS, MISTINGS, span
from staff.sourced import Need, sourced
from staff.units import count, day


def settling(profile: Profile, animal: Animal, on: date) -> Iterator[Need]:
    """Yield that a newcomer is left alone, while it is one."""
    rule = profile.settling
    until_on = settling_until(
        profile, arrived_on=animal.arrived_on, hatched_on=animal.hatched_on, on=on
    )
    if rule is not None and until_on is not None:
        value = f"left alone until {day(until_on)}. {rule.text}".strip()
        yield sourced("Settling in", value, rule.provenance, profile)


def lamps(profile: Profile) -> Iterator[Need]:
    """Yield how each kind of lamp is measured and replaced."""
    for rule in profile.lamps:
        measured = numbers.every(rule.meter_every_days, rule.meter_every_days)
        value = f"measured {measured}, replaced after {_lasting(rule)}. {rule.text}"
        what = names.sentence(LAMPS[rule.kind])
        yield sourced(what, value.strip(), rule.provenance, profile)


def _lasting(rule: LampRule) -> str:
    months, hours = rule.replace_after_months, rule.replace_after_hours
    ends = (
        count(months, "month") if months is not None else "",
        f"{hours} h of burning" if hours is not None else "",
    )
    both = months is not None and hours is not None
    return " or ".join(e for e in ends if e) + (", whichever is first" if both else "")


def daily_care(profile: Profile, stage: str | None) -> Iterator[Need]:
    """Yield how the insects are fed and dusted, and how the enclosure is misted."""
    if rule := profile.gut_load:
        after = count(rule.feed_hours_after_lights_on, "hour")
        value = (
            f"{count(rule.hours_before, 'hour')} before the insects are offered, which "
            f"is {after} after lights-on. {rule.text}"
        )
        yield sourced("Food of the insects", value.strip(), rule.provenance, profile)
    for supplement in supplements_for(profile, stage):
        value = f"{_dusting(supplement)}. {supplement.text}".strip()
        yield sourced(supplement.name, value, supplement.provenance, profile)
    for misting in misting_for(profile, stage):
        minutes = span(misting.minutes_low, misting.minutes_high)
        value = f"{minutes} minutes. {misting.text}".strip()
        what = f"Misting, {MISTINGS[misting.time]}"
        yield sourced(what, value, misting.provenance, profile)


def _dusting(supplement: SupplementRule) -> str:
    when = "at every feeding"
    if supplement.when is SupplementWhen.MONTH_DAYS:
        days = ", ".join(str(d) for d in supplement.month_days)
        when = f"on day {days} of the month"
    if supplement.most_a_month is not None:
        when += f", on at most {count(supplement.most_a_month, 'day')} of a month"
    if supplement.contains_d3:
        when += "; it contains vitamin D3, of which too much is toxic"
    return when
