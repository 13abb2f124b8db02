"""Care tasks as a keeper reads them: what to do, with its numbers."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from zoneinfo import ZoneInfo

from husbandry.rules.care.tasks import (
    CareTask,
    DosePlan,
    FeedPlan,
    GutLoadPlan,
    LampPlan,
    LookPlan,
    MistPlan,
    WatchPlan,
)
from husbandry.rules.sentences import numbers
from husbandry.rules.vocabulary import LampKind, MistingTime, Route, TaskKind

LAMPS = {LampKind.UVB_TUBE: "UVB tube", LampKind.HEAT: "heat lamp"}
ROUTES = {
    Route.BY_MOUTH: "by mouth",
    Route.UNDER_THE_SKIN: "under the skin",
    Route.INTO_MUSCLE: "into the muscle",
    Route.INTO_BODY_CAVITY: "into the body cavity",
    Route.INTO_VEIN: "into a vein",
    Route.ON_THE_SKIN: "on the skin",
    Route.IN_THE_EYE: "in the eye",
}
MISTINGS = {
    MistingTime.BEFORE_LIGHTS_ON: "before lights-on",
    MistingTime.AFTER_LIGHTS_OFF: "after lights-off",
}
NOUNS = {
    TaskKind.FEED: ("feeding", "feedings"),
    TaskKind.GUT_LOAD: ("gut-loading", "gut-loadings"),
    TaskKind.MIST: ("misting", "mistings"),
    TaskKind.WEIGH: ("weighing", "weighings"),
    TaskKind.UV_CHECK: ("UV check", "UV checks"),
    TaskKind.LAMP_CHANGE: ("lamp to change", "lamps to change"),
    TaskKind.DOSE: ("dose", "doses"),
    TaskKind.FOLLOW_UP: ("second look", "second looks"),
    TaskKind.TEST_RESULT: ("test result to ask for", "test results to ask for"),
    TaskKind.WATCH: ("look at a gravid female", "looks at gravid females"),
}
ONE_BY_ONE = frozenset({TaskKind.DOSE, TaskKind.FOLLOW_UP, TaskKind.TEST_RESULT})
NO_SECOND_DOSE = "Never give two at once; ask the vet."


def span(low: int, high: int) -> str:
    """Return a number or a span of them: `4`, `10–15`."""
    return str(low) if low == high else f"{low}–{high}"


def tell_task(task: CareTask, *, zone: ZoneInfo) -> str:
    """Say what one task asks to be done.

    Args:
        task: with the plan of its kind.
        zone: by whose clock times are told.

    Returns:
        A line without a full stop, capital first.
    """
    match task.plan:
        case FeedPlan() as plan:
            return _feed(plan)
        case GutLoadPlan() as plan:
            return _gut_load(plan, at=_at(task, zone, " at "))
        case MistPlan() as plan:
            return _mist(plan, at=_at(task, zone, ", "))
        case LampPlan() as plan:
            change = task.kind is TaskKind.LAMP_CHANGE
            return _lamp_change(plan) if change else _uv_check(plan)
        case DosePlan() as plan:
            return _dose(plan, at=f"{plan.due_at.astimezone(zone):%H:%M}")
        case LookPlan() as plan:
            return _test_result(plan) if plan.test else _follow_up(plan)
        case WatchPlan() as plan:
            return _watch(plan)
        case plan:
            return f"Weigh ({numbers.every(plan.every_days, plan.every_days)})"


def tell_overdue(tasks: Sequence[CareTask], *, zone: ZoneInfo) -> tuple[str, ...]:
    """Say what is still open of the days before: `Feeding open since 1 Mar 2026 (2×)`.

    Args:
        tasks: open ones, of one animal, enclosure or room.
        zone: by whose clock times are told.
    """
    lines = []
    alike: dict[TaskKind, list[date]] = defaultdict(list)
    for task in tasks:
        if task.kind in ONE_BY_ONE:
            lines.append(_left_open(task, zone))
        else:
            alike[task.kind].append(task.due_on)
    for kind, days in alike.items():
        noun = NOUNS[kind][0]
        times = f" ({len(days)}×)" if len(days) > 1 else ""
        since = _day(min(days))
        lines.append(f"{noun[:1].upper()}{noun[1:]} open since {since}{times}")
    return tuple(lines)


def count_tasks(tasks: Iterable[CareTask]) -> str:
    """Sum up tasks: `12 feedings (10–15 crickets each), 3 weighings`."""
    by_kind: dict[TaskKind, list[CareTask]] = defaultdict(list)
    for task in tasks:
        by_kind[task.kind].append(task)
    parts = []
    for kind, (one, many) in NOUNS.items():
        if found := by_kind.get(kind):
            offered = _offered(found) if kind is TaskKind.FEED else ""
            noun = one if len(found) == 1 else many
            parts.append(f"{len(found)} {noun}{offered}")
    return ", ".join(parts)


def _offered(tasks: Sequence[CareTask]) -> str:
    plans = [t.plan for t in tasks if isinstance(t.plan, FeedPlan)]
    usual = [p for p in plans if not p.agreed]
    foods = {p.feeder_name or p.unit for p in usual}
    if len(foods) != 1:
        return ""
    portion = span(
        min(p.portion_low for p in usual), max(p.portion_high for p in usual)
    )
    each = " each" if len(usual) > 1 else ""
    return f" ({portion} {foods.pop().lower()}{each})"


def _left_open(task: CareTask, zone: ZoneInfo) -> str:
    plan = task.plan
    if isinstance(plan, DosePlan):
        at = plan.due_at.astimezone(zone)
        day = _day(task.due_on)
        return (
            f"Dose of {plan.drug} due {day} at {at:%H:%M} is not on record. "
            f"{NO_SECOND_DOSE}"
        )
    due = _day(task.due_on)
    return f"{tell_task(task, zone=zone)}; open since {due}"


def _feed(plan: FeedPlan) -> str:
    food = f"{span(plan.portion_low, plan.portion_high)} {plan.unit}"
    if plan.feeder_name:
        food = f"{food}: {plan.feeder_name.lower()}"
    by_hand = "Feed by hand " if plan.assisted else "Feed "
    powders = " and ".join(s.name[:1].lower() + s.name[1:] for s in plan.supplements)
    dusted = f", dusted with {powders}" if powders else ""
    agreed = f" (agreed: {plan.agreed})" if plan.agreed else ""
    return f"{by_hand}{food}{dusted}{agreed}"


def _gut_load(plan: GutLoadPlan, *, at: str) -> str:
    animals = "1 animal" if plan.animals == 1 else f"{plan.animals} animals"
    return (
        f"Gut-load {span(plan.insects_low, plan.insects_high)} "
        f"{plan.feeder_name.lower()}{at} for {animals} to be fed on "
        f"{_day(plan.feeding_on)}"
    )


def _mist(plan: MistPlan, *, at: str) -> str:
    minutes = span(plan.minutes_low, plan.minutes_high)
    return f"Mist {minutes} min {MISTINGS[plan.time]}{at}"


def _uv_check(plan: LampPlan) -> str:
    last = f"last on {_day(plan.last_on)}" if plan.last_on else "never"
    return f"Measure the UV index under the {_lamp(plan)} (measured {last})"


def _lamp_change(plan: LampPlan) -> str:
    burnt = f"{plan.burnt_hours:.0f} h burnt"
    return f"Change the {_lamp(plan)}, fitted on {_day(plan.fitted_on)}, {burnt}"


def _lamp(plan: LampPlan) -> str:
    return f"{LAMPS[plan.kind]} {plan.label}".strip()


def _dose(plan: DosePlan, *, at: str) -> str:
    if plan.volume_ml is None:
        return f"{plan.drug}, due at {at}: do not give it yet. {plan.refusal}"
    return (
        f"Give {plan.volume_ml} mL {plan.drug} {ROUTES[plan.route]} at {at}, as "
        f"{plan.vet} prescribed"
    )


def _follow_up(plan: LookPlan) -> str:
    return f"Look again: {plan.text} ({_day(plan.since_on)})"


def _test_result(plan: LookPlan) -> str:
    what = plan.test.value if plan.test else plan.text
    return f"Ask for the result of the {what} test taken on {_day(plan.since_on)}"


def _watch(plan: WatchPlan) -> str:
    since = _day(plan.since_on)
    return f"Look whether she is bright, digs or lays (gravid since {since})"


def _at(task: CareTask, zone: ZoneInfo, before: str) -> str:
    if task.due_at is None:
        return ""
    return f"{before}{task.due_at.astimezone(zone):%H:%M}"


def _day(on: date) -> str:
    return numbers.day(on.isoformat())
