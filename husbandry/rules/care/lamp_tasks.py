"""When a lamp is measured, and when it is spent."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
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
# Lamps are fitted by the dozen on one day.
_FITTINGS_KEPT = 1024


@dataclass(frozen=True, slots=True)
class _Check:
    """A meter reading that is due, the one that closed it, and the one before it."""

    due_on: date
    done_on: date | None
    last_on: date | None


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
    found: list[CareTask] = []
    for lamp in enclosure.lamps:
        rule = lamp_rule_for(profile, lamp.kind)
        if rule is None:
            continue
        found += [
            _measure(enclosure, lamp, rule, check)
            for check in _checks(lamp, rule)
            if from_on <= check.due_on <= until_on
        ]
        change_on = spent_on(
            lamp, rule, hours_a_day=_hours_a_day(enclosure), counted_on=counted_on
        )
        if change_on is not None and from_on <= change_on <= until_on:
            found.append(_replace(enclosure, lamp, rule, change_on))
    return tuple(found)


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
    return _months_after(lamp.fitted_on, rule.replace_after_months)


@lru_cache(maxsize=_FITTINGS_KEPT)
def _months_after(on: date, months: int) -> date:
    return on + relativedelta(months=months)


def _by_hours(
    lamp: LampFact, rule: LampRule, hours_a_day: float, counted_on: date
) -> date | None:
    if rule.replace_after_hours is None or hours_a_day <= 0:
        return None
    left = (rule.replace_after_hours - lamp.burnt_hours) / hours_a_day
    days = ceil(round(left, _HOURS_DECIMALS))
    # The last of so many whole days is the one in which the hours are full.
    return max(counted_on + timedelta(days - 1), lamp.fitted_on)


def _checks(lamp: LampFact, rule: LampRule) -> Iterator[_Check]:
    """Yield the readings due after the fitting and after each reading.

    A reading that comes early puts the next one off; a late one closes what was due.
    """
    if lamp.kind is not LampKind.UVB_TUBE:
        return
    every = timedelta(rule.meter_every_days)
    known = sorted({lamp.fitted_on, *lamp.checked_on})
    for last_on, next_on in (*pairwise(known), (known[-1], None)):
        if next_on is None or next_on >= last_on + every:
            checked_on = last_on if last_on in lamp.checked_on else None
            yield _Check(last_on + every, next_on, checked_on)


def _measure(
    enclosure: CaredEnclosure, lamp: LampFact, rule: LampRule, check: _Check
) -> CareTask:
    return _task(
        TaskKind.UV_CHECK,
        enclosure,
        rule,
        _plan(lamp, check.last_on),
        key_on=check.due_on,
        due_on=check.due_on,
        done_on=check.done_on,
    )


def _replace(
    enclosure: CaredEnclosure, lamp: LampFact, rule: LampRule, due_on: date
) -> CareTask:
    """Return when the lamp is replaced; the new one is another lamp.

    Its key names the day of fitting: light times that change move the day on which it
    falls due, but it stays the same task.
    """
    return _task(
        TaskKind.LAMP_CHANGE,
        enclosure,
        rule,
        _plan(lamp, lamp.checked_on[-1] if lamp.checked_on else None),
        key_on=lamp.fitted_on,
        due_on=due_on,
        done_on=None,
    )


def _hours_a_day(enclosure: CaredEnclosure) -> float:
    on, off = enclosure.lights_on, enclosure.lights_off
    minutes = 60 * (off.hour - on.hour) + off.minute - on.minute
    return minutes / 60 + (off.second - on.second) / _SECONDS_PER_HOUR


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
