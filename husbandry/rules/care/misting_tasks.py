"""When an enclosure is misted by hand, and which misting closed it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from husbandry.rules.care.facts import CaredEnclosure, ChoreFact
from husbandry.rules.care.local_instants import instant_at
from husbandry.rules.care.task_keys import enclosure_key
from husbandry.rules.care.tasks import CareTask, MistPlan
from husbandry.rules.profiles.values import MistingRule
from husbandry.rules.vocabulary import ChoreKind, Misting, MistingTime, TaskKind

# Most enclosures of a site share a few timers.
_KEPT = 1024


@dataclass(frozen=True, slots=True)
class _Lights:
    """Instants of one day's lights; `middle_at` parts the morning's misting."""

    on_at: datetime
    middle_at: datetime
    off_at: datetime


def misting_tasks(
    enclosure: CaredEnclosure,
    rules: tuple[MistingRule, ...],
    chores: Sequence[ChoreFact],
    *,
    zone: ZoneInfo,
    on: date,
) -> tuple[CareTask, ...]:
    """Return how an enclosure is misted by hand on one day, in the order of the day.

    Misting before lights-on is over when the lights come on. A misting of that local
    day closes it if it was done before the middle of the light; later ones close
    that after lights-off.

    Args:
        enclosure: with its lights; one with a timer for misting needs nobody.
        rules: how the animal in it is misted on that day.
        chores: of this enclosure.
        zone: of the site.
        on: the local day.

    Source:
        care-task-convention
    """
    if enclosure.misting is not Misting.BY_HAND or not rules:
        return ()
    lights = _lights(enclosure.lights_on, enclosure.lights_off, zone, on)
    misted_at = [c.at for c in chores if c.kind is ChoreKind.MISTING and c.on == on]
    return tuple(_task(enclosure, rule, lights, misted_at, on) for rule in rules)


@lru_cache(maxsize=_KEPT)
def _lights(lights_on: time, lights_off: time, zone: ZoneInfo, on: date) -> _Lights:
    on_at = instant_at(on, lights_on, zone=zone)
    off_at = instant_at(on, lights_off, zone=zone)
    return _Lights(on_at, on_at + (off_at - on_at) / 2, off_at)


@lru_cache(maxsize=_KEPT)
def _plan(when: MistingTime, minutes_low: int, minutes_high: int) -> MistPlan:
    return MistPlan(when, minutes_low, minutes_high)


def _task(
    enclosure: CaredEnclosure,
    rule: MistingRule,
    lights: _Lights,
    misted_at: list[datetime],
    on: date,
) -> CareTask:
    early = rule.time is MistingTime.BEFORE_LIGHTS_ON
    begins_at = lights.on_at - timedelta(minutes=rule.minutes_high)
    done = any((at < lights.middle_at) is early for at in misted_at)
    return CareTask(
        key=enclosure_key(TaskKind.MIST, enclosure.id, on, rule.time),
        kind=TaskKind.MIST,
        due_on=on,
        due_at=begins_at if early else lights.off_at,
        animal=None,
        enclosure=enclosure.id,
        room=None,
        plan=_plan(rule.time, rule.minutes_low, rule.minutes_high),
        done_on=on if done else None,
        rule_id=rule.id,
        provenance=rule.provenance,
    )
