"""The first twelve months in the new home, by the rules of the daily rounds."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from dateutil.relativedelta import relativedelta

from husbandry.rules.care.facts import CaredAnimal
from husbandry.rules.care.stage_rules import rules_of
from husbandry.rules.care.weighing_tasks import weighing_tasks
from husbandry.rules.profiles.care_rows import settling_until
from husbandry.rules.profiles.resolving import light_hours_for, stage_on
from husbandry.rules.profiles.values import Profile
from husbandry.rules.profiles.vocabulary import SupplementWhen
from placements.rules.packets.calendars import (
    FoodKnown,
    Stretch,
    calendar,
    stretches,
)
from placements.rules.packets.lamps import lamp_days
from placements.rules.packets.needs import Needs
from placements.rules.packets.plans import CalendarDay
from placements.rules.packets.routines import (
    FeedingSpell,
    LampDay,
    MonthPlan,
    StageBegin,
    SupplementDays,
)

ONE_DAY = timedelta(days=1)
MONTHS = relativedelta(months=12)
# Where the profile says nothing of light, lamps are taken to burn for half the day.
HALF_A_DAY = Decimal(12)
# Whole days are counted; no zone moves them.
NO_ZONE = ZoneInfo("UTC")


@dataclass(frozen=True, slots=True)
class _Year:
    """All days of the twelve months, not yet cut into months."""

    sheet: tuple[CalendarDay, ...]
    stretches: tuple[Stretch, ...]
    weigh_on: tuple[date, ...]
    begins: tuple[StageBegin, ...]
    lamps: tuple[LampDay, ...]


def plan_months(
    profile: Profile, needs: Needs, *, first_on: date, about: bool, known: FoodKnown
) -> tuple[MonthPlan, ...]:
    """Lay out the first twelve months in the new home, calendar month by month.

    Args:
        profile: the care profile in force on the first day.
        needs: of the animal; without a day of hatching no stage begins.
        first_on: the day it leaves. Unless that is the first of a month, the first
            and the last month are parts, together one.
        about: its day of hatching is known to the month or the year only.
        known: what was agreed of its food, and what it had of vitamin D3.

    Returns:
        Up to the day before the same day of the next year; from 29 February, up to
        27 February. Nothing is weighed while it settles in.

    Source:
        care-task-convention; iso-8601 for what twelve months are.
    """
    last_on = first_on + MONTHS - ONE_DAY
    year = _Year(
        sheet=calendar(
            profile,
            hatched_on=needs.hatched_on,
            first_on=first_on,
            days=(last_on - first_on).days + 1,
            known=known,
        ),
        stretches=stretches(
            profile,
            hatched_on=needs.hatched_on,
            first_on=first_on,
            until_on=last_on,
            orders=known.orders,
        ),
        weigh_on=_weighings(profile, needs, first_on, last_on),
        begins=tuple(_begins(profile, needs, first_on, last_on, about=about)),
        lamps=lamp_days(
            profile,
            hours_a_day=_hours_of_light(profile, needs, first_on),
            first_on=first_on,
            until_on=last_on,
        ),
    )
    return tuple(_month(year, *ends) for ends in calendar_months(first_on, last_on))


def calendar_months(first_on: date, last_on: date) -> Iterator[tuple[date, date]]:
    """Yield the first and the last day of each calendar month within some days."""
    from_on = first_on
    while from_on <= last_on:
        next_on = from_on.replace(day=1) + relativedelta(months=1)
        yield from_on, min(last_on, next_on - ONE_DAY)
        from_on = next_on


def _month(year: _Year, from_on: date, until_on: date) -> MonthPlan:
    within = [
        s for s in year.stretches if s.until_on >= from_on and s.from_on <= until_on
    ]
    fed = [day for day in year.sheet if day.feed and from_on <= day.on <= until_on]
    return MonthPlan(
        from_on=from_on,
        until_on=until_on,
        stages=tuple(dict.fromkeys(s.stage.name for s in within if s.stage)),
        feeding=tuple(_spells(within, from_on, until_on)),
        feed_on=tuple(day.on for day in fed),
        every_feeding=_every_feeding(within) if fed else (),
        supplements=tuple(_supplements(within, fed)),
        weigh_on=tuple(on for on in year.weigh_on if from_on <= on <= until_on),
        begins=tuple(b for b in year.begins if from_on <= b.on <= until_on),
        lamps=tuple(day for day in year.lamps if from_on <= day.on <= until_on),
    )


def _spells(
    within: list[Stretch], from_on: date, until_on: date
) -> Iterator[FeedingSpell]:
    for stretch in within:
        every_days = stretch.every_days
        if every_days is None:
            continue
        low, high, unit = _portion(stretch)
        yield FeedingSpell(
            from_on=max(from_on, stretch.from_on),
            until_on=min(until_on, stretch.until_on),
            stage=stretch.stage.name if stretch.stage else "",
            every_days_low=every_days[0],
            every_days_high=every_days[1],
            portion_low=low,
            portion_high=high,
            unit=unit,
            agreed=stretch.order.kind if stretch.order else None,
        )


def _portion(stretch: Stretch) -> tuple[int, int, str]:
    if stretch.order is not None:
        return (
            stretch.order.portion or 0,
            stretch.order.portion or 0,
            stretch.order.unit,
        )
    rule = stretch.feeding
    return (rule.portion_low, rule.portion_high, rule.unit) if rule else (0, 0, "")


def _every_feeding(within: list[Stretch]) -> tuple[str, ...]:
    return tuple(
        dict.fromkeys(
            rule.name
            for stretch in within
            for rule in stretch.supplements
            if rule.when is SupplementWhen.EVERY_FEEDING
        )
    )


def _supplements(
    within: list[Stretch], fed: list[CalendarDay]
) -> Iterator[SupplementDays]:
    rules = {rule.id: rule for stretch in within for rule in stretch.supplements}
    for rule in rules.values():
        if rule.when is not SupplementWhen.MONTH_DAYS:
            continue
        replaced = rules.get(rule.instead_of or "")
        yield SupplementDays(
            rule.name,
            replaced.name if replaced else "",
            tuple(day.on for day in fed if rule.name in day.supplements),
        )


def _weighings(
    profile: Profile, needs: Needs, first_on: date, last_on: date
) -> tuple[date, ...]:
    """Return the days on which the rounds would weigh it, once it has settled in."""
    newcomer = CaredAnimal(
        id=0,
        code="",
        label="",
        species=0,
        profile=profile,
        sex=needs.sex,
        hatched_on=needs.hatched_on,
        arrived_on=first_on,
        enclosure=None,
    )
    tasks = weighing_tasks(
        newcomer, rules_of(profile), zone=NO_ZONE, from_on=first_on, until_on=last_on
    )
    return tuple(
        task.due_on
        for task in tasks
        if settling_until(
            profile, arrived_on=first_on, hatched_on=needs.hatched_on, on=task.due_on
        )
        is None
    )


def _begins(
    profile: Profile, needs: Needs, first_on: date, last_on: date, *, about: bool
) -> Iterator[StageBegin]:
    if needs.hatched_on is None:
        return
    for stage in profile.stages:
        on = needs.hatched_on + timedelta(days=stage.from_days)
        if first_on < on <= last_on:
            yield StageBegin(on, stage.name, about)


def _hours_of_light(profile: Profile, needs: Needs, on: date) -> Decimal:
    stage = stage_on(profile, hatched_on=needs.hatched_on, on=on)
    rule = light_hours_for(profile, stage.code if stage else None)
    return (rule.hours_low + rule.hours_high) / 2 if rule else HALF_A_DAY
