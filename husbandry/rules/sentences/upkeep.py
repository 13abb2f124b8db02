"""What a profile says of daily care, in few words."""

from collections.abc import Iterator

from husbandry.rules.profiles.care_rows import misting_for
from husbandry.rules.profiles.values import (
    GutLoadRule,
    LampRule,
    MistingRule,
    Profile,
    SupplementRule,
)
from husbandry.rules.profiles.vocabulary import SupplementWhen
from husbandry.rules.sentences import names, numbers
from husbandry.rules.sentences.tasks import LAMPS, MISTINGS, span

UpkeepRule = MistingRule | LampRule | GutLoadRule
Line = tuple[UpkeepRule, str, str]


def upkeep(profile: Profile, stage: str | None) -> Iterator[Line]:
    """Yield what is kept up for an animal of a life stage, in the order of a day.

    Args:
        profile: read without ties.
        stage: the animal's life stage; None: not known.

    Yields:
        The rule, what it is about, and its figures; neither its own text nor its
        source.
    """
    for misting in misting_for(profile, stage):
        minutes = span(misting.minutes_low, misting.minutes_high)
        yield misting, f"Misting, {MISTINGS[misting.time]}", f"{minutes} minutes"
    if profile.gut_load is not None:
        yield profile.gut_load, "Food of the insects", gut_load(profile.gut_load)
    for rule in profile.lamps:
        yield rule, names.sentence(LAMPS[rule.kind]), lamp(rule)


def gut_load(rule: GutLoadRule) -> str:
    """Return when the insects are fed, and when they are offered."""
    before = _count(rule.hours_before, "hour")
    after = _count(rule.feed_hours_after_lights_on, "hour")
    return f"{before} before they are offered, which is {after} after lights-on"


def lamp(rule: LampRule) -> str:
    """Return how often a lamp is measured, and when it is replaced."""
    ends = []
    if rule.replace_after_months is not None:
        ends.append(_count(rule.replace_after_months, "month"))
    if rule.replace_after_hours is not None:
        ends.append(f"{rule.replace_after_hours} h of burning")
    first = ", whichever is first" if len(ends) > 1 else ""
    often = numbers.every(rule.meter_every_days, rule.meter_every_days)
    return f"measured {often}, replaced after {' or '.join(ends)}{first}"


def dusting(rule: SupplementRule) -> str:
    """Return on which feedings a supplement is given, and its limit."""
    when = "at every feeding"
    if rule.when is SupplementWhen.MONTH_DAYS:
        days = ", ".join(str(d) for d in rule.month_days)
        when = f"on day {days} of the month"
    return f"{when}{_limit(rule)}"


def _limit(rule: SupplementRule) -> str:
    most = ""
    if rule.most_a_month is not None:
        most = f", on at most {_count(rule.most_a_month, 'day')} of a month"
    danger = "; it contains vitamin D3, of which too much is toxic"
    return most + (danger if rule.contains_d3 else "")


def _count(number: int, one: str) -> str:
    return f"{number} {one}" if number == 1 else f"{number} {one}s"
