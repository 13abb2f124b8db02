"""Feeding the insects of a whole room, so long before they are offered."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from husbandry.rules.care.facts import ChoreFact
from husbandry.rules.care.task_keys import room_key
from husbandry.rules.care.tasks import CareTask, FeedPlan, GutLoadPlan
from husbandry.rules.profiles.values import GutLoadRule
from husbandry.rules.vocabulary import ChoreKind, TaskKind


@dataclass(frozen=True, slots=True)
class Offer:
    """One animal's feeding, with the rule that says how its insects are prepared."""

    task: CareTask
    rule: GutLoadRule


def offer_days(rule: GutLoadRule) -> tuple[int, int]:
    """Return from how many days before to how many after a day its feedings may lie.

    Lights that come on late put the feeding into the next day; hours before it lead
    back by a day or more.
    """
    return 1, rule.hours_before // 24 + 1


def gut_load_tasks(
    room: int, offers: Iterable[Offer], chores: Sequence[ChoreFact], *, zone: ZoneInfo
) -> tuple[CareTask, ...]:
    """Return when the insects of a room are fed: one task a feeder and feeding day.

    The portions of all animals are added up; where they are fed at different hours,
    the earliest counts. Animals that were fed before the day, and those fed by hand,
    need no insects.

    Args:
        room: its key.
        offers: the feedings of its animals.
        chores: gut-loading in the room. It closes the task if it was done within
            twice the rule's hours before the feeding.
        zone: of the site, for the local day on which the task falls.

    Returns:
        In the order of feeding day and feeder.

    Source:
        care-task-convention, feeder-of-the-day-convention
    """
    found: dict[tuple[date, str], list[tuple[datetime, Offer]]] = {}
    for offer in offers:
        task, plan = offer.task, offer.task.plan
        if task.due_at is None or not isinstance(plan, FeedPlan) or not plan.feeder:
            continue
        if task.done_on is not None and task.done_on < task.due_on:
            continue
        key = (task.due_on, plan.feeder)
        found.setdefault(key, []).append((task.due_at, offer))
    return tuple(_task(room, found[key], chores, zone) for key in sorted(found))


def _task(
    room: int,
    offers: list[tuple[datetime, Offer]],
    chores: Sequence[ChoreFact],
    zone: ZoneInfo,
) -> CareTask:
    feed_at, first = min(offers, key=lambda o: (o[0], o[1].rule.id, o[1].task.key))
    before = timedelta(hours=first.rule.hours_before)
    due_at = feed_at - before
    due_on = due_at.astimezone(zone).date()
    plan = _plan([o.task for _, o in offers])
    done = (
        c.on
        for c in chores
        if c.kind is ChoreKind.GUT_LOADING
        and c.room == room
        and c.feeder == plan.feeder
        and due_at - before <= c.at <= feed_at
    )
    return CareTask(
        key=room_key(TaskKind.GUT_LOAD, room, due_on, plan.feeder, plan.feeding_on),
        kind=TaskKind.GUT_LOAD,
        due_on=due_on,
        due_at=due_at,
        animal=None,
        enclosure=None,
        room=room,
        plan=plan,
        done_on=max(done, default=None),
        rule_id=first.rule.id,
        provenance=first.rule.provenance,
    )


def _plan(tasks: list[CareTask]) -> GutLoadPlan:
    plans = [task.plan for task in tasks if isinstance(task.plan, FeedPlan)]
    return GutLoadPlan(
        feeder=plans[0].feeder,
        feeder_name=plans[0].feeder_name,
        insects_low=sum(plan.portion_low for plan in plans),
        insects_high=sum(plan.portion_high for plan in plans),
        animals=len(plans),
        feeding_on=tasks[0].due_on,
    )
