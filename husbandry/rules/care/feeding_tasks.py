"""Which feedings of one animal fall due, with what, and which feeding closed them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from husbandry.rules.care.closing import closed_on, early_days, late_until
from husbandry.rules.care.facts import CaredAnimal, OrderFact
from husbandry.rules.care.feeding_slots import FeedingSlot, feeding_slots, longest_days
from husbandry.rules.care.local_instants import instant_at
from husbandry.rules.care.stage_rules import ProfileRules
from husbandry.rules.care.supplement_days import supplements_at
from husbandry.rules.care.task_keys import animal_key
from husbandry.rules.care.tasks import CareTask, FeedPlan, Supplement
from husbandry.rules.profiles.care_rows import staples_for
from husbandry.rules.profiles.values import FeederNote, FeedingRule, Profile
from husbandry.rules.vocabulary import TaskKind

# After a fast of any length a supplement that fell due during it is given once.
_LOOK_BACK_DAYS = 62
_SUPPLEMENTS_KEPT = 256


def feeding_tasks(
    animal: CaredAnimal,
    rules: ProfileRules | None,
    *,
    lights_on: time | None,
    zone: ZoneInfo,
    from_on: date,
    until_on: date,
) -> tuple[CareTask, ...]:
    """Return the feedings of one animal that fall due in a range, in order.

    A feeding on record closes the task of its day, and one that would come less than
    the rule's least days after it, but not two that fell due; a late one closes the task before it, up to the
    next. So somebody who feeds a day early is not asked again, and one who feeds at
    the rule's longest interval leaves nothing open for good. An open feeding is to be
    done; whether it was missed is asked only after the rule's most days.

    Args:
        animal: with its feedings in force and what was agreed for it.
        rules: of its profile; None: only agreements make tasks.
        lights_on: local time at which its lights come on, from which the hour of
            feeding is counted; None: no hour is named.
        zone: of the site.
        from_on: first day of the range.
        until_on: last day of the range.

    Source:
        care-task-convention, feeder-of-the-day-convention
    """
    longest = longest_days(animal, rules)
    back = _LOOK_BACK_DAYS if animal.orders else longest
    slots = feeding_slots(
        animal,
        rules,
        from_on=from_on - timedelta(back),
        until_on=until_on + timedelta(longest),
    )
    profile = rules.profile if rules else None
    work = _Feeding(animal, profile, lights_on, zone, longest, back)
    fed_on = [feeding.on for feeding in animal.feedings]
    return tuple(
        _task(work, slots, place, fed_on)
        for place, slot in enumerate(slots)
        if from_on <= slot.on <= until_on
    )


def feeder_of_the_day(
    profile: Profile, *, age_days: int | None, on: date
) -> FeederNote | None:
    """Return which staple is offered on a day, or None where none suits the age.

    Args:
        profile: of the species.
        age_days: of the animal; None: not known, and only what suits every age is
            offered.
        on: the local day.

    Source:
        feeder-of-the-day-convention
    """
    staples = staples_for(profile, age_days)
    return staples[on.toordinal() % len(staples)] if staples else None


@dataclass(frozen=True, slots=True)
class _Feeding:
    """What is the same for all feedings of one animal."""

    animal: CaredAnimal
    profile: Profile | None
    lights_on: time | None
    zone: ZoneInfo
    longest_days: int
    back_days: int


def _task(
    work: _Feeding, slots: Sequence[FeedingSlot], place: int, fed_on: Sequence[date]
) -> CareTask:
    slot, animal = slots[place], work.animal
    previous_on = slots[place - 1].on if place else None
    next_on = slots[place + 1].on if place + 1 < len(slots) else None
    rule = slot.rules.feeding if slot.rules and slot.order is None else None
    return CareTask(
        key=animal_key(TaskKind.FEED, animal.id, slot.on),
        kind=TaskKind.FEED,
        due_on=slot.on,
        due_at=_due_at(work, slot.on),
        animal=animal.id,
        enclosure=None,
        room=None,
        plan=_plan(work, slot, rule, _dusted_before(work, slots, place)),
        done_on=closed_on(
            fed_on,
            due_on=slot.on,
            early_days=early_days(
                slot.on, previous_on, every_days=_every_days(slot, rule)
            ),
            before_on=late_until(slot.on, next_on, longest_days=work.longest_days),
        ),
        rule_id=rule.id if rule else "",
        provenance=rule.provenance if rule else None,
    )


def _every_days(slot: FeedingSlot, rule: FeedingRule | None) -> int:
    if rule is not None:
        return rule.every_days_low
    return slot.order.every_days or 1 if slot.order else 1


def _due_at(work: _Feeding, on: date) -> datetime | None:
    if work.lights_on is None or work.profile is None or work.profile.gut_load is None:
        return None
    hours = work.profile.gut_load.feed_hours_after_lights_on
    return instant_at(on, work.lights_on, zone=work.zone) + timedelta(hours=hours)


def _plan(
    work: _Feeding, slot: FeedingSlot, rule: FeedingRule | None, dusted_on: date
) -> FeedPlan:
    feeder = None if slot.assisted else _feeder(work, slot.on)
    low, high, unit = _portion(slot.order, rule)
    return FeedPlan(
        feeder=feeder.id if feeder else "",
        feeder_name=feeder.name if feeder else "",
        portion_low=low,
        portion_high=high,
        unit=unit,
        supplements=_supplements(slot, dusted_on),
        assisted=slot.assisted,
        agreed=_agreed(slot.order),
    )


def _feeder(work: _Feeding, on: date) -> FeederNote | None:
    if work.profile is None:
        return None
    hatched_on = work.animal.hatched_on
    age_days = None if hatched_on is None else (on - hatched_on).days
    return feeder_of_the_day(work.profile, age_days=age_days, on=on)


def _portion(order: OrderFact | None, rule: FeedingRule | None) -> tuple[int, int, str]:
    if order is not None:
        return order.portion or 0, order.portion or 0, order.unit
    return (rule.portion_low, rule.portion_high, rule.unit) if rule else (0, 0, "")


def _agreed(order: OrderFact | None) -> str:
    if order is None:
        return ""
    return f"{order.by}: {order.reason}" if order.by else order.reason


def _supplements(slot: FeedingSlot, dusted_on: date) -> tuple[Supplement, ...]:
    # What is fed by hand is as agreed; nothing is dusted on it.
    if slot.rules is None or slot.assisted:
        return ()
    given = supplements_at(
        slot.rules.supplements, feeding_on=slot.on, previous_on=dusted_on
    )
    return tuple([_supplement(rule.id, rule.name) for rule in given])


@lru_cache(maxsize=_SUPPLEMENTS_KEPT)
def _supplement(key: str, name: str) -> Supplement:
    return Supplement(key, name)


def _dusted_before(work: _Feeding, slots: Sequence[FeedingSlot], place: int) -> date:
    """Return the day up to which supplements that fell due were given.

    That of the last feeding before that could be dusted; else the day before the
    animal came, or the end of what is looked back at.
    """
    on = slots[place].on
    furthest_on = on - timedelta(work.back_days + 1)
    start_on = max(work.animal.arrived_on - timedelta(1), furthest_on)
    before = (s.on for s in reversed(slots[:place]) if not s.assisted)
    return max(next(before, start_on), start_on)
