"""How a usual day in the new home goes, by the clock."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal

from husbandry.rules.profiles.care_rows import misting_for
from husbandry.rules.profiles.resolving import feeding_for, light_hours_for
from husbandry.rules.profiles.values import (
    GutLoadRule,
    LightHours,
    MistingRule,
    Profile,
)
from husbandry.rules.sentences import numbers
from husbandry.rules.vocabulary import MistingTime
from placements.rules.packets.lines import basis
from placements.rules.packets.routines import (
    DayLine,
    DayMatter,
    DayPlan,
    LightsBasis,
)
from placements.rules.packets.words import number_range

# Any day will do: a usual day has 24 hours.
A_DAY = date(2000, 1, 1)
MORNING = time(7, 0)


@dataclass(frozen=True, slots=True)
class LightTimes:
    """When lights go on and off by the clock, and whose times these are."""

    on: time
    off: time
    basis: LightsBasis


def plan_day(
    profile: Profile, stage: str | None, *, lights: LightTimes | None
) -> DayPlan | None:
    """Lay out a usual day from the hours of light and what the profile says of it.

    Args:
        profile: whose rows hold.
        stage: code of the life stage; None: not known.
        lights: of the home's enclosure, else of the one it lives in here; None:
            neither is known, and the lights go on at 7:00 for the middle of the
            hours that the species wants. The same span is kept from the times' own
            start where they burn shorter or longer than it wants.

    Returns:
        None where the profile says nothing of the hours of light.

    Source:
        packet-day-convention; the hours and minutes are the profile's.
    """
    rule = light_hours_for(profile, stage)
    if rule is None:
        return None
    times = _fitting(lights, rule)
    on_at, off_at = (datetime.combine(A_DAY, t) for t in (times.on, times.off))
    lines = [
        *_light_lines(rule, on_at, off_at),
        *_misting(misting_for(profile, stage), on_at, off_at),
    ]
    if profile.gut_load is not None:
        lines += _feeding(profile, profile.gut_load, stage, on_at)
    return DayPlan(times.basis, tuple(sorted(lines, key=lambda line: line.at)))


def _fitting(lights: LightTimes | None, rule: LightHours) -> LightTimes:
    """Return times that burn as long as is wanted, begun when they begin."""
    if lights is not None:
        burnt = datetime.combine(A_DAY, lights.off) - datetime.combine(A_DAY, lights.on)
        hours = Decimal(int(burnt.total_seconds())) / 3600
        if rule.hours_low <= hours <= rule.hours_high:
            return lights
    on = lights.on if lights else MORNING
    middle = (rule.hours_low + rule.hours_high) / 2
    off = datetime.combine(A_DAY, on) + timedelta(minutes=int(middle * 60))
    whose = lights.basis if lights else LightsBasis.CONVENTION
    return LightTimes(on, off.time(), whose)


def _light_lines(
    rule: LightHours, on_at: datetime, off_at: datetime
) -> Iterator[DayLine]:
    found = basis(rule.provenance)
    hours = number_range(rule.hours_low, rule.hours_high)
    yield DayLine(
        on_at.time(),
        off_at.time(),
        DayMatter.LIGHTS_ON,
        f"All lamps on, by a timer: {hours} hours of light a day.",
        found,
    )
    yield DayLine(
        off_at.time(),
        on_at.time(),
        DayMatter.LIGHTS_OFF,
        "Every light off, and dark until the lights come on again.",
        found,
    )


def _misting(
    rules: tuple[MistingRule, ...], on_at: datetime, off_at: datetime
) -> Iterator[DayLine]:
    for rule in rules:
        early = rule.time is MistingTime.BEFORE_LIGHTS_ON
        longest = timedelta(minutes=rule.minutes_high)
        begins_at = on_at - longest if early else off_at
        minutes = number_range(rule.minutes_low, rule.minutes_high)
        end = ", over when the lights come on" if early else ""
        yield DayLine(
            begins_at.time(),
            (begins_at + longest).time(),
            DayMatter.MIST,
            f"Mist for {minutes} minutes{end}. {rule.text}".strip(),
            basis(rule.provenance),
        )


def _feeding(
    profile: Profile, rule: GutLoadRule, stage: str | None, on_at: datetime
) -> Iterator[DayLine]:
    fed_at = on_at + timedelta(hours=rule.feed_hours_after_lights_on)
    food = feeding_for(profile, stage)
    if food is not None:
        portion = number_range(food.portion_low, food.portion_high)
        how_often = numbers.every(food.every_days_low, food.every_days_high)
        yield DayLine(
            fed_at.time(),
            None,
            DayMatter.FEED,
            f"On a feeding day: {portion} {food.unit} ({how_often}); look whether it "
            "eats.",
            basis(food.provenance),
        )
    loaded_at = fed_at - timedelta(hours=rule.hours_before)
    day_before = loaded_at.date() < fed_at.date()
    when = "The day before a feeding day" if day_before else "On a feeding day"
    yield DayLine(
        loaded_at.time(),
        None,
        DayMatter.GUT_LOAD,
        f"{when}: feed the insects, {rule.hours_before} hours ahead. "
        f"{rule.text}".strip(),
        basis(rule.provenance),
    )
