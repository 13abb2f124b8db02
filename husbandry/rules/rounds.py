"""A round: one room on one day, in walking order, with all there is to do and to mind."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from husbandry.rules.care.facts import CaredAnimal, CaredEnclosure, CaredRoom, CareFacts
from husbandry.rules.care.tasks import CareTask
from husbandry.rules.findings import URGENCY_ORDER
from husbandry.rules.masses import PlausibleMasses, plausible_masses
from husbandry.rules.profiles.resolving import stage_on, weight_band_for
from husbandry.rules.profiles.values import Stage
from husbandry.rules.round_notes import notes_of
from husbandry.rules.round_sheets import (
    LastWeight,
    RoundAnimal,
    RoundFinding,
    RoundPlace,
    RoundProfile,
    RoundSheet,
    RoundStop,
)
from husbandry.rules.vocabulary import TaskKind

LOOK_BACK_DAYS = 6
# Due until they are done, however long ago they fell due.
STANDING = frozenset(
    {
        *(TaskKind.UV_CHECK, TaskKind.LAMP_CHANGE),
        *(TaskKind.FOLLOW_UP, TaskKind.TEST_RESULT),
    }
)
# What was not misted, gut-loaded or looked at the day before last is past: it is told
# once.
SOON_PAST = frozenset({TaskKind.MIST, TaskKind.GUT_LOAD, TaskKind.WATCH})
# Done late, the last one still does good; the ones before it are past.
LATE_ONCE = frozenset({TaskKind.FEED, TaskKind.WEIGH})
# A kind of care that a site has never recorded says nothing by not being recorded.
JUDGED_WHEN_RECORDED = frozenset(
    {
        *(TaskKind.FEED, TaskKind.GUT_LOAD, TaskKind.MIST),
        *(TaskKind.UV_CHECK, TaskKind.LAMP_CHANGE),
    }
)


def walking_order(rooms: Iterable[CaredRoom]) -> tuple[CaredRoom, ...]:
    """Return rooms in the order in which they are walked, quarantine last.

    From the healthy to the doubtful: what a keeper carries then goes nowhere else.

    Args:
        rooms: of one site, in any order.

    Source:
        common-practice.
    """
    return tuple(sorted(rooms, key=lambda r: (r.quarantine, r.position, r.code)))


def build_round_sheet(
    facts: CareFacts,
    tasks: Sequence[CareTask],
    *,
    place: RoundPlace,
    on: date,
    made_at: datetime,
    findings: Sequence[RoundFinding],
    night: date | None,
    profiles: tuple[RoundProfile, ...],
) -> RoundSheet:
    """Lay out one room's day.

    Args:
        facts: of the site or of the room; other rooms are left out.
        tasks: due from six days before the day until the day, and what stands open
            from before, in any order; others are left out.
        place: the room.
        on: the local day.
        made_at: now; only told.
        findings: as they stood in the morning of the day, in any order.
        night: the night that they are of.
        profiles: from which the tasks were computed.

    Returns:
        Stops by position and code, those where somebody is in quarantine last;
        enclosures where nobody lives, nothing is due and nothing is wrong are no stops.

    Source:
        quarantine-guidance for who comes last. House rule: six days back, so that a
        week's neglect stands on the sheet.
    """
    # A task that is still open may be named twice: as due then, and as standing.
    once = {task.key: task for task in tasks}.values()
    judged = [t for t in once if _counts(t, facts, on)]
    worst = sorted(
        findings, key=lambda f: (URGENCY_ORDER[f.urgency], f.opened_on, f.id)
    )
    day = _Day(facts, tuple(judged), tuple(worst), place.room, on)
    last = facts.kept_apart
    enclosures = sorted(
        (e for e in facts.enclosures.values() if e.room == place.room.id),
        key=lambda e: (e.id in last, e.position, e.code),
    )
    stops = (day.stop(enclosure) for enclosure in enclosures)
    own = [t for t in judged if t.room == place.room.id]
    return RoundSheet(
        place=place,
        on=on,
        made_at=made_at,
        night=night,
        profiles=profiles,
        tasks=_due(own, on),
        overdue=_overdue(own, on),
        findings=tuple(f for f in worst if f.animal is None and f.enclosure is None),
        stops=tuple(s for s in stops if _is_stop(s)),
    )


def still_to_do(
    tasks: Sequence[CareTask], overdue: Sequence[CareTask]
) -> tuple[CareTask, ...]:
    """Return which open tasks of the days before are worth doing today.

    Args:
        tasks: of the day, of one animal, enclosure or room.
        overdue: of the same, oldest first.

    Returns:
        What stands open until it is done; of feedings and weighings the last, if
        today has none of its own. A dose that was left out is never among them.

    Source:
        common-practice.
    """
    today = {task.kind for task in tasks}
    last = {task.kind: task for task in overdue if task.kind in LATE_ONCE - today}
    return tuple(
        task for task in overdue if task.kind in STANDING or last.get(task.kind) is task
    )


def _is_stop(stop: RoundStop) -> bool:
    return any((stop.animals, stop.tasks, stop.overdue, stop.findings))


@dataclass(frozen=True, slots=True)
class _Day:
    """What stops are made from."""

    facts: CareFacts
    tasks: tuple[CareTask, ...]
    findings: tuple[RoundFinding, ...]
    room: CaredRoom
    on: date

    def stop(self, enclosure: CaredEnclosure) -> RoundStop:
        key = enclosure.id
        own = [t for t in self.tasks if t.enclosure == key and t.animal is None]
        living = [a for a in self.facts.animals if a.enclosure == key]
        return RoundStop(
            id=key,
            code=enclosure.code,
            tasks=_due(own, self.on),
            overdue=_overdue(own, self.on),
            findings=tuple(
                f for f in self.findings if f.enclosure == key and f.animal is None
            ),
            animals=tuple(self.animal(a) for a in sorted(living, key=lambda a: a.code)),
        )

    def animal(self, animal: CaredAnimal) -> RoundAnimal:
        own = [t for t in self.tasks if t.animal == animal.id]
        stage = _stage(animal, self.on)
        last = animal.last_weighing
        hatched = animal.hatched_on
        known = hatched is not None and hatched <= self.on
        return RoundAnimal(
            id=animal.id,
            code=animal.code,
            label=animal.label,
            sex=animal.sex,
            age_days=(self.on - hatched).days if hatched and known else None,
            stage=stage.name if stage else "",
            last_weight=LastWeight(
                last.mass_g, last.at.astimezone(self.facts.zone).date()
            )
            if last
            else None,
            plausible=_plausible(animal, stage),
            notes=notes_of(animal, room=self.room, on=self.on),
            tasks=_due(own, self.on),
            overdue=_overdue(own, self.on),
            findings=tuple(f for f in self.findings if f.animal == animal.id),
        )


def _stage(animal: CaredAnimal, on: date) -> Stage | None:
    if animal.profile is None:
        return None
    return stage_on(animal.profile, hatched_on=animal.hatched_on, on=on)


def _plausible(animal: CaredAnimal, stage: Stage | None) -> PlausibleMasses | None:
    if animal.profile is None:
        return plausible_masses(last=animal.last_weighing, band=None, species=())
    code = stage.code if stage else None
    return plausible_masses(
        last=animal.last_weighing,
        band=weight_band_for(animal.profile, code, animal.sex),
        species=animal.profile.weight_bands,
    )


def _counts(task: CareTask, facts: CareFacts, on: date) -> bool:
    """Say whether a task belongs on the sheet: of the day, or of the days before."""
    if task.due_on >= on:
        return task.due_on == on
    told_days = 1 if task.kind in SOON_PAST else LOOK_BACK_DAYS
    if task.kind not in STANDING and task.due_on < on - timedelta(days=told_days):
        return False
    if task.kind not in JUDGED_WHEN_RECORDED:
        return True
    first = facts.first_recorded_on.get(task.kind)
    return first is not None and first <= task.due_on


def _due(tasks: Iterable[CareTask], on: date) -> tuple[CareTask, ...]:
    return tuple(t for t in sorted(tasks, key=_by_kind) if t.due_on == on)


def _overdue(tasks: Iterable[CareTask], on: date) -> tuple[CareTask, ...]:
    return tuple(t for t in sorted(tasks, key=_by_kind) if t.due_on < on and t.is_open)


_KINDS = {kind: place for place, kind in enumerate(TaskKind)}


def _by_kind(task: CareTask) -> tuple[int, date, float, str]:
    """Return what tasks are sorted by: as the vocabulary lists them, the oldest first."""
    at_s = task.due_at.timestamp() if task.due_at else 0.0
    return _KINDS[task.kind], task.due_on, at_s, task.key
