"""When the lamps of the new home are measured and replaced."""

from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal

from husbandry.rules.care.facts import LampFact
from husbandry.rules.care.lamp_tasks import spent_on
from husbandry.rules.care.recurrences import days_by_turns
from husbandry.rules.profiles.values import LampRule, Profile
from husbandry.rules.vocabulary import LampKind
from placements.rules.packets.routines import LampDay, LampWork

ONE_DAY = timedelta(days=1)


def lamp_days(
    profile: Profile, *, hours_a_day: Decimal, first_on: date, until_on: date
) -> tuple[LampDay, ...]:
    """Return when lamps are measured and replaced, as the daily rounds would ask.

    Each lamp is taken to be new on the first day, and to be replaced on the day on
    which it is spent; only tubes for UVB are measured.

    Args:
        profile: whose rows on lamps hold.
        hours_a_day: for how long they burn.
        first_on: the day on which they are new.
        until_on: last day asked about.

    Source:
        care-task-convention
    """
    found = (
        day
        for rule in profile.lamps
        for day in _of_lamp(rule, float(hours_a_day), first_on, until_on)
    )
    return tuple(sorted(found, key=lambda day: (day.on, day.lamp, day.work)))


def _of_lamp(
    rule: LampRule, hours_a_day: float, first_on: date, until_on: date
) -> Iterator[LampDay]:
    fitted_on: date | None = first_on
    while fitted_on is not None and fitted_on <= until_on:
        spent = _spent(rule, hours_a_day, fitted_on)
        last_on = until_on if spent is None else min(until_on, spent - ONE_DAY)
        if rule.kind is LampKind.UVB_TUBE:
            for on in _checks(rule, fitted_on, last_on):
                yield LampDay(on, LampWork.MEASURE, rule.kind)
        if spent is not None and spent <= until_on:
            yield LampDay(spent, LampWork.REPLACE, rule.kind)
        fitted_on = spent


def _spent(rule: LampRule, hours_a_day: float, fitted_on: date) -> date | None:
    lamp = LampFact(
        id=0,
        kind=rule.kind,
        label="",
        fitted_on=fitted_on,
        burnt_hours=0,
        checked_on=(),
        last_uv_index=None,
    )
    found = spent_on(lamp, rule, hours_a_day=hours_a_day, counted_on=fitted_on)
    # A lamp that is spent on the day it is new would be replaced for ever.
    return found if found is not None and found > fitted_on else None


def _checks(rule: LampRule, fitted_on: date, last_on: date) -> tuple[date, ...]:
    every = rule.meter_every_days
    return days_by_turns(
        (every,),
        anchor_on=fitted_on + timedelta(days=every),
        from_on=fitted_on,
        until_on=last_on,
    )
