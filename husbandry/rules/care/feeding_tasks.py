"""Which feedings of one animal fall due, with what, and which feeding closed them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from husbandry.rules.care.closing import closed_on, early_days, late_until
from husbandry.rules.care.dusting import Dusting, Meal
from husbandry.rules.care.facts import CaredAnimal, OrderFact
from husbandry.rules.care.feeding_slots import FeedingSlot, feeding_slots, longest_days
from husbandry.rules.care.local_instants import instant_at
from husbandry.rules.care.stage_rules import ProfileRules
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
    asked_on: date,
) -> tuple[CareTask, ...]:
    """Return the feedings of one animal that fall due in a range, in order.

    A feeding on record closes the task of its day, and one soon after it that would
    come less than the rule's least days later, unless the one after that would then
    come far too late; a late one closes the task before it, up to the next. So
    somebody who feeds a day early is not asked again, and one who feeds at the rule's
    longest interval leaves nothing open for good. An open feeding is to be done;
    whether it was missed is asked only after the rule's most days.

    What it is dusted with follows the record as far as there is one: see `Dusting`.
    After that, open feedings from the day on which it is asked are taken to be done
    as planned; open ones before it are past.

    Args:
        animal: with its feedings in force and what was agreed for it.
        rules: of its profile; None: only agreements make tasks.
        lights_on: local time at which its lights come on, from which the hour of
            feeding is counted; None: no hour is named.
        zone: of the site.
        from_on: first day of the range.
        until_on: last day of the range.
        asked_on: the day on which it is asked; it may lie before, within or after
            the range.

    Source:
        care-task-convention, feeder-of-the-day-convention
    """
    longest = longest_days(animal, rules)
    back = _LOOK_BACK_DAYS if animal.orders else longest
    slots = feeding_slots(
        animal,
        rules,
        from_on=min(from_on, asked_on) - timedelta(back),
        until_on=until_on + timedelta(back),
    )
    profile = rules.profile if rules else None
    work = _Feeding(
        animal=animal,
        profile=profile,
        lights_on=lights_on,
        zone=zone,
        longest_days=longest,
        back_days=back,
        asked_on=asked_on,
        fed_on=tuple([feeding.on for feeding in animal.feedings]),
        dusting=Dusting(animal),
    )
    # Feedings between the asking and the range tell what stands on later ones, and so
    # do those of before it that can still be given late.
    first_on = min(from_on, asked_on - timedelta(longest))
    return tuple(
        task
        for place, slot in enumerate(slots)
        if first_on <= slot.on <= until_on
        for task in [_task(work, slots, place)]
        if from_on <= slot.on
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
    asked_on: date
    fed_on: tuple[date, ...]
    dusting: Dusting


@dataclass(frozen=True, slots=True)
class _Closing:
    """How a feeding task is closed: on so many days up to its day, or until another."""

    early_days: int
    before_on: date
    done_on: date | None
    most_days: int


def _task(work: _Feeding, slots: Sequence[FeedingSlot], place: int) -> CareTask:
    slot, animal = slots[place], work.animal
    rule = slot.rules.feeding if slot.rules and slot.order is None else None
    closing = _closing(work, slots, place, rule)
    meal = _meal(work, slots, place, closing)
    return CareTask(
        key=animal_key(TaskKind.FEED, animal.id, slot.on),
        kind=TaskKind.FEED,
        due_on=slot.on,
        due_at=_due_at(work, slot.on),
        animal=animal.id,
        enclosure=None,
        room=None,
        plan=_plan(work, slot, rule, meal),
        done_on=closing.done_on,
        rule_id=rule.id if rule else "",
        provenance=rule.provenance if rule else None,
    )


def _closing(
    work: _Feeding, slots: Sequence[FeedingSlot], place: int, rule: FeedingRule | None
) -> _Closing:
    on = slots[place].on
    next_on = slots[place + 1].on if place + 1 < len(slots) else None
    least, most = _interval(slots[place], rule)
    early = early_days(
        on,
        slots[place - 1].on if place else None,
        next_on,
        least_days=least,
        most_days=most,
    )
    before_on = late_until(on, next_on, longest_days=work.longest_days)
    done_on = closed_on(work.fed_on, due_on=on, early_days=early, before_on=before_on)
    return _Closing(early, before_on, done_on, most)


def _meal(
    work: _Feeding, slots: Sequence[FeedingSlot], place: int, closing: _Closing
) -> Meal:
    """Say when a feeding is eaten: on its day, or late, if that is still to come."""
    due_on, asked_on = slots[place].on, work.asked_on
    late_on = max(due_on, asked_on)
    past = late_on >= closing.before_on or (work.fed_on and work.fed_on[-1] >= due_on)
    to_come = closing.done_on is None and not past
    soon = due_on - timedelta(closing.early_days) < asked_on < due_on
    on = late_on if to_come else due_on
    return Meal(
        on=on,
        begins_on=asked_on if to_come and soon else on,
        previous_on=_dusted_before(work, slots, place),
        most_days=closing.most_days,
        to_come=to_come,
    )


def _interval(slot: FeedingSlot, rule: FeedingRule | None) -> tuple[int, int]:
    if rule is not None:
        return rule.every_days_low, rule.every_days_high
    every_days = slot.order.every_days or 1 if slot.order else 1
    return every_days, every_days


def _due_at(work: _Feeding, on: date) -> datetime | None:
    if work.lights_on is None or work.profile is None or work.profile.gut_load is None:
        return None
    hours = work.profile.gut_load.feed_hours_after_lights_on
    return instant_at(on, work.lights_on, zone=work.zone) + timedelta(hours=hours)


def _plan(
    work: _Feeding, slot: FeedingSlot, rule: FeedingRule | None, meal: Meal
) -> FeedPlan:
    feeder = None if slot.assisted else _feeder(work, slot.on)
    low, high, unit = _portion(slot.order, rule)
    return FeedPlan(
        feeder=feeder.id if feeder else "",
        feeder_name=feeder.name if feeder else "",
        portion_low=low,
        portion_high=high,
        unit=unit,
        supplements=_supplements(work, slot, meal),
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


def _supplements(
    work: _Feeding, slot: FeedingSlot, meal: Meal
) -> tuple[Supplement, ...]:
    # What is fed by hand is as agreed; nothing is dusted on it.
    if slot.rules is None or slot.assisted:
        return ()
    given = work.dusting.plan(slot.rules, meal)
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
