"""On which days one animal is weighed, and which weighing closed them."""

from datetime import date, timedelta
from zoneinfo import ZoneInfo

from husbandry.rules.care.closing import closed_on, early_days, late_until
from husbandry.rules.care.facts import CaredAnimal
from husbandry.rules.care.recurrences import days_by_turns
from husbandry.rules.care.stage_rules import ProfileRules, spans
from husbandry.rules.care.task_keys import animal_key
from husbandry.rules.care.tasks import CareTask, WeighPlan
from husbandry.rules.profiles.values import WeighingRule
from husbandry.rules.vocabulary import TaskKind


def weighing_tasks(
    animal: CaredAnimal,
    rules: ProfileRules,
    *,
    zone: ZoneInfo,
    from_on: date,
    until_on: date,
) -> tuple[CareTask, ...]:
    """Return the weighings of one animal that fall due in a range, in order.

    They are counted from the day it arrived. A weighing closes the next one due if
    that is nearer than the one due before, and late the one before it, up to the
    next. Where the life stage is not known, rules that hold at any age do.

    Args:
        animal: with the days on which it was weighed.
        rules: of its profile.
        zone: of the site.
        from_on: first day of the range.
        until_on: last day of the range.

    Source:
        care-task-convention
    """
    longest = rules.longest_weighing_days
    due = _due(
        animal,
        rules,
        from_on=from_on - timedelta(longest),
        until_on=until_on + timedelta(longest),
    )
    return tuple(
        _task(animal, rule, zone, on, _done_on(animal, due, place, longest))
        for place, (on, rule) in enumerate(due)
        if from_on <= on <= until_on
    )


def _done_on(
    animal: CaredAnimal,
    due: list[tuple[date, WeighingRule]],
    place: int,
    longest: int,
) -> date | None:
    on, rule = due[place]
    previous_on = due[place - 1][0] if place else None
    next_on = due[place + 1][0] if place + 1 < len(due) else None
    return closed_on(
        animal.weighed_on,
        due_on=on,
        early_days=early_days(
            on,
            previous_on,
            next_on,
            least_days=rule.every_days,
            most_days=rule.every_days,
        ),
        before_on=late_until(on, next_on, longest_days=longest),
    )


def _due(
    animal: CaredAnimal, rules: ProfileRules, *, from_on: date, until_on: date
) -> list[tuple[date, WeighingRule]]:
    return [
        (on, rule)
        for span in spans(
            rules, hatched_on=animal.hatched_on, from_on=from_on, until_on=until_on
        )
        if (rule := span.rules.weighing) is not None
        for on in days_by_turns(
            (rule.every_days,),
            anchor_on=animal.arrived_on,
            from_on=span.from_on,
            until_on=span.until_on,
        )
    ]


def _task(
    animal: CaredAnimal,
    rule: WeighingRule,
    zone: ZoneInfo,
    on: date,
    done_on: date | None,
) -> CareTask:
    last = animal.last_weighing
    return CareTask(
        key=animal_key(TaskKind.WEIGH, animal.id, on),
        kind=TaskKind.WEIGH,
        due_on=on,
        due_at=None,
        animal=animal.id,
        enclosure=None,
        room=None,
        plan=WeighPlan(
            every_days=rule.every_days,
            last_g=last.mass_g if last else None,
            last_on=last.at.astimezone(zone).date() if last else None,
        ),
        done_on=done_on,
        rule_id=rule.id,
        provenance=rule.provenance,
    )
