"""Lamps that were not measured when they should have been, and lamps that are spent."""

from collections.abc import Iterable, Iterator
from datetime import date
from typing import Any

from husbandry.rules.assessments import Assessment
from husbandry.rules.care.facts import CaredEnclosure, LampFact
from husbandry.rules.care.judging import CONVENTION, open_on
from husbandry.rules.care.tasks import CareTask, LampPlan
from husbandry.rules.profiles.care_rows import lamp_rule_for
from husbandry.rules.profiles.values import LampRule, Profile
from husbandry.rules.vocabulary import FindingKind, TaskKind, Urgency


def lamps_overdue(
    enclosure: CaredEnclosure, profile: Profile, tasks: Iterable[CareTask], *, on: date
) -> Iterator[Assessment]:
    """Say which lamps of an enclosure are to be measured or replaced.

    A lamp may be both: a spent tube that is not yet replaced is measured all the more.

    Args:
        enclosure: with its lamps.
        profile: of the animal beneath them.
        tasks: checks and changes of these lamps, due however long ago.
        on: the day, at its end; what fell due on it is overdue.

    Yields:
        At most one of either kind for each lamp.

    Source:
        care-task-convention; nevarez-lamps for why a glow proves nothing.
    """
    lamps = {lamp.id: lamp for lamp in enclosure.lamps}
    for task in tasks:
        if task.due_on > on or not open_on(task, on):
            continue
        if not isinstance(task.plan, LampPlan):
            raise TypeError(f"Task {task.key} plans {task.plan}, not a lamp's care.")
        lamp = lamps[task.plan.lamp]
        rule = lamp_rule_for(profile, lamp.kind)
        if rule is not None:
            yield _found(task, lamp, rule, on)


def _found(task: CareTask, lamp: LampFact, rule: LampRule, on: date) -> Assessment:
    change = task.kind is TaskKind.LAMP_CHANGE
    more = _worn(lamp, rule) if change else {"every_days": rule.meter_every_days}
    return Assessment(
        kind=FindingKind.LAMP_WORN if change else FindingKind.UV_CHECK_OVERDUE,
        urgency=Urgency.TODAY if change else Urgency.WATCH,
        facts={
            "lamp": lamp.id,
            "lamp_kind": lamp.kind.value,
            "label": lamp.label,
            "fitted_on": lamp.fitted_on.isoformat(),
            "due_on": task.due_on.isoformat(),
            "days_overdue": (on - task.due_on).days,
            **_last_check(lamp, on),
            **more,
            "convention": CONVENTION,
        },
        rule_id=task.rule_id,
        provenance=task.provenance,
        detail=(str(lamp.id),),
        enclosure=task.enclosure,
    )


def _worn(lamp: LampFact, rule: LampRule) -> dict[str, Any]:
    return {
        "burnt_hours": round(lamp.burnt_hours, 1),
        "limit_hours": rule.replace_after_hours,
        "limit_months": rule.replace_after_months,
    }


def _last_check(lamp: LampFact, on: date) -> dict[str, Any]:
    checked = [day for day in lamp.checked_on if day <= on]
    if not checked:
        return {"last_on": None, "days": (on - lamp.fitted_on).days, "last_uv": None}
    # The value on record is that of the newest check, which may lie after the day.
    newest = checked[-1] == lamp.checked_on[-1] and lamp.last_uv_index is not None
    return {
        "last_on": checked[-1].isoformat(),
        "days": (on - checked[-1]).days,
        "last_uv": str(lamp.last_uv_index) if newest else None,
    }
