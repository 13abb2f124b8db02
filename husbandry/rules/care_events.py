"""Care as entries of a calendar: each room's day, doses, second looks, laying."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta
from decimal import ROUND_CEILING, ROUND_FLOOR

from core.events import AllDay, Event, Timed
from husbandry.rules.care.facts import CaredAnimal, CaredRoom, CareFacts
from husbandry.rules.care.tasks import CareTask
from husbandry.rules.profiles.resolving import incubation_for
from husbandry.rules.profiles.vocabulary import IncubationMatter
from husbandry.rules.round_cautions import MEDICINES
from husbandry.rules.sentences import numbers
from husbandry.rules.sentences.tasks import count_tasks, tell_task
from husbandry.rules.vocabulary import TaskKind

DAYS_BACK, DAYS_AHEAD = 7, 28
# How long an entry with an hour is drawn; nobody is held to it.
DRAWN = timedelta(minutes=15)
TIMED = frozenset({TaskKind.DOSE, TaskKind.GUT_LOAD})
LOOKS = frozenset({TaskKind.FOLLOW_UP, TaskKind.TEST_RESULT})
VET = "If anything looks wrong, call a licensed reptile vet."
LAYING = (
    "Counted from the day on which she was first seen gravid; mated long before, she "
    "may lay sooner. Have a place to dig ready and leave her in peace. If she digs "
    "without laying, stops part-way, or grows weak, call a licensed reptile vet."
)


def care_events(
    facts: CareFacts, tasks: Sequence[CareTask], *, on: date
) -> tuple[Event, ...]:
    """Return a site's care as entries of a calendar.

    Args:
        facts: of the whole site.
        tasks: what falls due in the days shown, and what stands open from before; a
            task that is named twice counts once.
        on: today; a second look or a result that stands open from before is entered
            for today.

    Returns:
        For each room and day one entry that sums up what is due, with the list;
        entries with an hour for doses and gut-loading; entries of whole days for
        second looks and results of tests, and for the window in which a gravid
        female is expected to lay.

    Source:
        care-task-convention
    """
    made = _Entries(facts, on)
    once = list({task.key: task for task in tasks}.values())
    first_on, last_on = on - timedelta(days=DAYS_BACK), on + timedelta(days=DAYS_AHEAD)
    shown = [t for t in once if first_on <= t.due_on <= last_on]
    looks = [t for t in shown if t.kind in LOOKS]
    looks += [t for t in once if t.kind in LOOKS and t.is_open and t.due_on < first_on]
    return (
        *made.days(shown),
        *(made.timed(t) for t in shown if t.kind in TIMED and t.due_at is not None),
        *(made.look(t) for t in looks),
        *made.layings(first_on, last_on),
    )


class _Entries:
    """What one site's entries are made from."""

    def __init__(self, facts: CareFacts, on: date) -> None:
        self.facts = facts
        self.on = on
        self.animals = {animal.id: animal for animal in facts.animals}

    def days(self, tasks: Iterable[CareTask]) -> Iterator[Event]:
        by_day: dict[tuple[int, date], list[CareTask]] = defaultdict(list)
        for task in tasks:
            room = self._room(task)
            if room is not None:
                by_day[room.id, task.due_on].append(task)
        for (room_id, due_on), found in sorted(by_day.items(), key=_by_day):
            room = self.facts.rooms[room_id]
            done = sum(not task.is_open for task in found)
            recorded = f" – {done} of {len(found)} on record" if done else ""
            yield Event(
                key=f"care-room-{room.id}-{due_on}",
                when=AllDay(due_on, due_on),
                summary=f"{room.name}: {count_tasks(found)}{recorded}",
                description="\n".join(self._list(found)),
                location=room.name,
            )

    def timed(self, task: CareTask) -> Event:
        assert task.due_at is not None  # noqa: S101 - see `care_events`
        dose = task.kind is TaskKind.DOSE
        return Event(
            key=_key(task),
            when=Timed(task.due_at, task.due_at + DRAWN),
            summary=self._told(task),
            description=MEDICINES if dose else "",
            location=self._where(task),
        )

    def look(self, task: CareTask) -> Event:
        on = max(task.due_on, self.on) if task.is_open else task.due_on
        since = numbers.day(task.due_on.isoformat())
        open_since = f" – open since {since}" if on > task.due_on else ""
        return Event(
            key=_key(task),
            when=AllDay(on, on),
            summary=f"{self._told(task)}{open_since}",
            description=VET,
            location=self._where(task),
        )

    def layings(self, first_on: date, last_on: date) -> Iterator[Event]:
        for animal in self.facts.animals:
            for spell in animal.gravid:
                window = laying_window(animal, spell.from_on)
                if spell.until_on is not None or window is None:
                    continue
                if window.from_on <= last_on and window.until_on >= first_on:
                    yield Event(
                        key=f"laying-{animal.id}-{spell.from_on}",
                        when=window,
                        summary=f"{animal.label} may lay (gravid since "
                        f"{numbers.day(spell.from_on.isoformat())})",
                        description=LAYING,
                        location=self._place(animal.enclosure),
                    )

    def _room(self, task: CareTask) -> CaredRoom | None:
        if task.room is not None:
            return self.facts.rooms.get(task.room)
        enclosure = self.facts.enclosures.get(self._enclosure(task) or 0)
        return self.facts.rooms.get(enclosure.room) if enclosure else None

    def _enclosure(self, task: CareTask) -> int | None:
        if task.animal is None:
            return task.enclosure
        animal = self.animals.get(task.animal)
        return animal.enclosure if animal else None

    def _where(self, task: CareTask) -> str:
        if task.room is not None:
            room = self._room(task)
            return room.name if room else ""
        return self._place(self._enclosure(task))

    def _place(self, key: int | None) -> str:
        enclosure = self.facts.enclosures.get(key or 0)
        if enclosure is None:
            return ""
        return f"{self.facts.rooms[enclosure.room].name}, {enclosure.code}"

    def _told(self, task: CareTask) -> str:
        who = self.animals[task.animal].label if task.animal in self.animals else ""
        text = tell_task(task, zone=self.facts.zone)
        return f"{who}: {text}" if who else text

    def _list(self, tasks: Iterable[CareTask]) -> Iterator[str]:
        """Yield a line for each thing to do, with everyone that it is for."""
        alike: dict[tuple[bool, str], list[str]] = defaultdict(list)
        for task in tasks:
            told = tell_task(task, zone=self.facts.zone)
            alike[task.is_open, told] += self._whom(task)
        for (is_open, told), whom in alike.items():
            mark = "[ ]" if is_open else "[x]"
            yield f"{mark} {told} – {', '.join(whom)}" if whom else f"{mark} {told}"

    def _whom(self, task: CareTask) -> list[str]:
        enclosure = self.facts.enclosures.get(self._enclosure(task) or 0)
        animal = self.animals.get(task.animal or 0)
        named = (enclosure.code if enclosure else "", animal.label if animal else "")
        found = " ".join(name for name in named if name)
        return [found] if found else []


def laying_window(animal: CaredAnimal, gravid_on: date) -> AllDay | None:
    """Return from when until when a gravid female is expected to lay.

    Args:
        animal: with its profile.
        gravid_on: the day on which she was first seen gravid; she was mated before,
            so the window is late rather than early.

    Returns:
        The days, whole ones; None where the profile does not say.

    Source:
        care-task-convention for counting from the first day seen gravid; the days
        are the profile's.
    """
    if animal.profile is None:
        return None
    rule = incubation_for(animal.profile, IncubationMatter.MATING_TO_LAYING_DAYS)
    if rule is None or rule.low is None or rule.high is None:
        return None
    first = int(rule.low.to_integral_value(ROUND_FLOOR))
    last = int(rule.high.to_integral_value(ROUND_CEILING))
    return AllDay(gravid_on + timedelta(days=first), gravid_on + timedelta(days=last))


def _by_day(found: tuple[tuple[int, date], list[CareTask]]) -> tuple[date, int]:
    (room, on), _ = found
    return on, room


def _key(task: CareTask) -> str:
    return f"task-{task.key}"
