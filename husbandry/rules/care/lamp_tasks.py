"""When a lamp is measured, and when it is spent."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from itertools import pairwise
from math import ceil

from dateutil.relativedelta import relativedelta

from husbandry.rules.care.facts import CaredEnclosure, LampFact
from husbandry.rules.care.task_keys import enclosure_key
from husbandry.rules.care.tasks import CareTask, LampPlan
from husbandry.rules.profiles.care_rows import lamp_rule_for
from husbandry.rules.profiles.values import LampRule, Profile
from husbandry.rules.vocabulary import LampKind, TaskKind

_SECONDS_PER_HOUR = 3600
# Sums of hours carry the noise of floating point.
_HOURS_DECIMALS = 6


def lamp_tasks(
    enclosure: CaredEnclosure,
    profile: Profile,
    *,
    counted_on: date,
    from_on: date,
    until_on: date,
) -> tuple[CareTask, ...]:
    """Return which lamps of an enclosure are to be measured or replaced in a range.

    Args:
        enclosure: with its lamps that are not yet removed.
        profile: of the animal beneath them.
        counted_on: the day up to which their burnt hours are counted.
        from_on: first day of the range.
        until_on: last day of the range.

    Source:
        care-task-convention
    """
    tasks = (
        task
        for lamp in enclosure.lamps
        if (rule := lamp_rule_for(profile, lamp.kind)) is not None
        for task in (
            *_checks(enclosure, lamp, rule),
            *_change(enclosure, lamp, rule, counted_on),
        )
    )
    return tuple(task for task in tasks if from_on <= task.due_on <= until_on)


def spent_on(
    lamp: LampFact, rule: LampRule, *, hours_a_day: float, counted_on: date
) -> date | None:
    """Return the day on which a lamp is spent: by its months or its hours, if sooner.

    Args:
        lamp: with its burnt hours up to the start of a day.
        rule: after how many months or hours it is spent; None: not counted.
        hours_a_day: for how long it burns each day from then on.
        counted_on: that day.

    Returns:
        The day on which the hours are full; or, where a month has no such day, its
        last (from 31 August, six months end on 28 or 29 February). None: neither is
        counted.

    Source:
        care-task-convention
    """
    days = [_by_months(lamp, rule), _by_hours(lamp, rule, hours_a_day, counted_on)]
    return min((on for on in days if on is not None), default=None)


def _by_months(lamp: LampFact, rule: LampRule) -> date | None:
    if rule.replace_after_months is None:
        return None
    return lamp.fitted_on + relativedelta(months=rule.replace_after_months)


def _by_hours(
    lamp: LampFact, rule: LampRule, hours_a_day: float, counted_on: date
) -> date | None:
    if rule.replace_after_hours is None or hours_a_day <= 0:
        return None
    left = (rule.replace_after_hours - lamp.burnt_hours) / hours_a_day
    days = ceil(round(left, _HOURS_DECIMALS))
    # The last of so many whole days is the one in which the hours are full.
    return max(counted_on + timedelta(days - 1), lamp.fitted_on)


def _checks(
    enclosure: CaredEnclosure, lamp: LampFact, rule: LampRule
) -> Iterator[CareTask]:
    """Yield the readings due after the fitting and after each reading.

    A reading that comes early puts the next one off; a late one closes what was due.
    """
    if lamp.kind is not LampKind.UVB_TUBE:
        return
    known = sorted({lamp.fitted_on, *lamp.checked_on})
    for last_on, next_on in (*pairwise(known), (known[-1], None)):
        due_on = last_on + timedelta(rule.meter_every_days)
        if next_on is None or next_on >= due_on:
            checked_on = last_on if last_on in lamp.checked_on else None
            yield _task(
                TaskKind.UV_CHECK,
                enclosure,
                rule,
                _plan(lamp, checked_on),
                key_on=due_on,
                due_on=due_on,
                done_on=next_on,
            )


def _change(
    enclosure: CaredEnclosure, lamp: LampFact, rule: LampRule, counted_on: date
) -> Iterator[CareTask]:
    """Yield when the lamp is replaced; the new one is another lamp.

    Its key names the day of fitting: light times that change move the day on which it
    falls due, but it stays the same task.
    """
    due_on = spent_on(
        lamp, rule, hours_a_day=_hours_a_day(enclosure), counted_on=counted_on
    )
    if due_on is not None:
        checked_on = lamp.checked_on[-1] if lamp.checked_on else None
        yield _task(
            TaskKind.LAMP_CHANGE,
            enclosure,
            rule,
            _plan(lamp, checked_on),
            key_on=lamp.fitted_on,
            due_on=due_on,
            done_on=None,
        )


def _hours_a_day(enclosure: CaredEnclosure) -> float:
    day = date(2000, 1, 1)
    lit = datetime.combine(day, enclosure.lights_off) - datetime.combine(
        day, enclosure.lights_on
    )
    return lit.total_seconds() / _SECONDS_PER_HOUR


def _plan(lamp: LampFact, last_on: date | None) -> LampPlan:
    return LampPlan(
        lamp=lamp.id,
        kind=lamp.kind,
        label=lamp.label,
        fitted_on=lamp.fitted_on,
        burnt_hours=lamp.burnt_hours,
        last_on=last_on,
    )


def _task(
    kind: TaskKind,
    enclosure: CaredEnclosure,
    rule: LampRule,
    plan: LampPlan,
    *,
    key_on: date,
    due_on: date,
    done_on: date | None,
) -> CareTask:
    return CareTask(
        key=enclosure_key(kind, enclosure.id, key_on, plan.lamp),
        kind=kind,
        due_on=due_on,
        due_at=None,
        animal=None,
        enclosure=enclosure.id,
        room=None,
        plan=plan,
        done_on=done_on,
        rule_id=rule.id,
        provenance=rule.provenance,
    )
