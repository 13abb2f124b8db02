"""A round's sheet laid out for paper: every line as it is printed."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from zoneinfo import ZoneInfo

from husbandry.rules.care.tasks import CareTask
from husbandry.rules.masses import PlausibleMasses
from husbandry.rules.round_cautions import QUARANTINE, cautions_of
from husbandry.rules.round_sheets import (
    RoundAnimal,
    RoundFinding,
    RoundNote,
    RoundSheet,
    RoundStop,
)
from husbandry.rules.rounds import still_to_do
from husbandry.rules.sentences import numbers
from husbandry.rules.sentences.findings import describe
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.sentences.tasks import count_tasks, tell_overdue, tell_task
from husbandry.rules.vocabulary import RoundNoteKind, Sex, TaskKind, Urgency

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
SEXES = {Sex.FEMALE: "♀ female", Sex.MALE: "♂ male", Sex.UNKNOWN: "sex not known"}
# A shape beside the word, so that a poor copy still tells them apart.
MARKS = {Urgency.NOW: "■ NOW", Urgency.TODAY: "◧ TODAY", Urgency.WATCH: "□ WATCH"}
ON_ITS_PERCH = ": on its perch, without lifting it, or on another day"
LEFT_ALONE = frozenset({RoundNoteKind.SETTLING_IN, RoundNoteKind.GRAVID})


@dataclass(frozen=True, slots=True)
class TickLine:
    """One thing to do; it is ticked already where it was done."""

    text: str
    kind: TaskKind
    done: bool


@dataclass(frozen=True, slots=True)
class FindingLine:
    """What is wrong: mark, since when, what, what to do first."""

    urgency: str
    mark: str
    since: str
    what: str
    first_step: str


@dataclass(frozen=True, slots=True)
class AnimalLines:
    """One row of the table.

    Attributes:
        where: code of the enclosure.
        about: sex, stage and age.
        feed, weigh: whether that is due, so that its fields stand out.
        last, last_on: the last weight and its day.
        expected: which masses nobody will ask about.
    """

    where: str
    label: str
    ticks: tuple[TickLine, ...]
    left_open: tuple[str, ...]
    findings: tuple[FindingLine, ...]
    about: str = ""
    notes: tuple[str, ...] = ()
    feed: bool = False
    weigh: bool = False
    last: str = ""
    last_on: str = ""
    expected: str = ""


@dataclass(frozen=True, slots=True)
class RoundPage:
    """The whole sheet, ready for the page."""

    title: str
    head: str
    room: str
    lead: str
    quarantine: str
    cautions: tuple[str, ...]
    night: str
    ticks: tuple[TickLine, ...]
    left_open: tuple[str, ...]
    findings: tuple[FindingLine, ...]
    rows: tuple[AnimalLines, ...]
    provenance: str


def weekday(on: date) -> str:
    """Return a day as nobody can misread it: `Mon 2 Mar 2026`."""
    return f"{WEEKDAYS[on.weekday()]} {_day(on)}"


def lay_out(sheet: RoundSheet, *, units: Units) -> RoundPage:
    """Lay a sheet out for paper; the same sheet gives the same page.

    Args:
        sheet: of a room and a day.
        units: in which masses and conditions are told.
    """
    place, day = sheet.place, weekday(sheet.on)
    zone = place.zone
    return RoundPage(
        title=f"Round of {place.room.name}, {place.site_name}, {day}",
        head=f"{place.room.name} · {day}",
        room=place.room.name,
        lead=_lead(sheet),
        quarantine=QUARANTINE if place.room.quarantine else "",
        cautions=cautions_of(sheet),
        night=_night(sheet),
        ticks=_ticks(sheet.tasks, sheet.overdue, zone),
        left_open=_left_open(sheet.tasks, sheet.overdue, zone),
        findings=_findings(sheet.findings, units),
        rows=tuple(row for stop in sheet.stops for row in _rows(stop, zone, units)),
        provenance=_provenance(sheet),
    )


def _lead(sheet: RoundSheet) -> str:
    animals, stops = len(sheet.animals), len(sheet.stops)
    counted = f"{_count(animals, 'animal')} at {_count(stops, 'stop')}"
    due = count_tasks(sheet.all_tasks) or "nothing is due"
    return f"{sheet.place.site_name} · {weekday(sheet.on)} · {counted} · {due}"


def _night(sheet: RoundSheet) -> str:
    if sheet.night is None:
        return (
            "No night before this day was reviewed, so findings are not known. Look at "
            "each animal all the more."
        )
    if (sheet.on - sheet.night).days > 1:
        return (
            f"Findings are those of {weekday(sheet.night)}; no night since then was "
            "reviewed."
        )
    return ""


def _provenance(sheet: RoundSheet) -> str:
    made = sheet.made_at.astimezone(sheet.place.zone)
    by = ", ".join(f"{p.common_name} version {p.version}" for p in sheet.profiles)
    computed = f"Computed from the care profile {by}" if by else "No care profile"
    return f"{computed} · made {weekday(made.date())} at {made:%H:%M} ({sheet.place.zone.key})"


def _rows(stop: RoundStop, zone: ZoneInfo, units: Units) -> list[AnimalLines]:
    own = (
        _ticks(stop.tasks, stop.overdue, zone),
        _left_open(stop.tasks, stop.overdue, zone),
        _findings(stop.findings, units),
    )
    if not stop.animals:
        ticks, left_open, findings = own
        return [
            AnimalLines(
                where=stop.code,
                label="Nobody lives here",
                ticks=ticks,
                left_open=left_open,
                findings=findings,
            )
        ]
    first = [_row(stop.code, stop.animals[0], zone, units, own)]
    nothing: _Own = ((), (), ())
    return first + [_row(stop.code, a, zone, units, nothing) for a in stop.animals[1:]]


_Own = tuple[tuple[TickLine, ...], tuple[str, ...], tuple[FindingLine, ...]]


def _row(
    where: str, animal: RoundAnimal, zone: ZoneInfo, units: Units, own: _Own
) -> AnimalLines:
    """Return an animal's row; what is due for the enclosure comes first."""
    ticks, left_open, findings = own
    late = still_to_do(animal.tasks, animal.overdue)
    due = {task.kind for task in (*late, *animal.tasks) if task.is_open}
    last = animal.last_weight
    return AnimalLines(
        where=where,
        label=animal.label,
        about=_about(animal),
        notes=tuple(_note(n) for n in animal.notes if not _is_of_the_room(n)),
        ticks=ticks + _animal_ticks(animal, zone),
        left_open=left_open + _left_open(animal.tasks, animal.overdue, zone),
        findings=_findings(animal.findings, units) + findings,
        feed=TaskKind.FEED in due,
        weigh=TaskKind.WEIGH in due,
        last=numbers.mass(last.mass_g, units) if last else "never weighed",
        last_on=_day(last.on) if last else "",
        expected=_expected(animal.plausible, units),
    )


def _expected(plausible: PlausibleMasses | None, units: Units) -> str:
    if plausible is None:
        return ""
    low, high = (numbers.mass(m, units) for m in (plausible.low_g, plausible.high_g))
    return f"{low.partition(' ')[0]}–{high}"


def _about(animal: RoundAnimal) -> str:
    age = "age not known"
    if animal.age_days is not None:
        months = round(animal.age_days / 30.44)
        old = f"{months} months" if months >= 3 else numbers.days(animal.age_days)
        age = f"{old} old"
    parts = (SEXES[animal.sex], animal.stage.lower(), age)
    return ", ".join(part for part in parts if part)


def _is_of_the_room(note: RoundNote) -> bool:
    """Say whether a note stands at the head of the sheet, not at each animal."""
    return note.kind is RoundNoteKind.QUARANTINE and note.since_on is None


def _note(note: RoundNote) -> str:
    since = _day(note.since_on) if note.since_on else ""
    until = _day(note.until_on) if note.until_on else ""
    if note.kind is RoundNoteKind.SETTLING_IN:
        return f"DO NOT HANDLE: settling in until {until} (came on {since})."
    if note.kind is RoundNoteKind.GRAVID:
        return f"DO NOT HANDLE: gravid since {since}."
    if note.kind is RoundNoteKind.QUARANTINE:
        return f"QUARANTINE since {since}: with tools of its own."
    return f"OFFER NOTHING until {until}: fasting, by {note.reason}"


def _animal_ticks(animal: RoundAnimal, zone: ZoneInfo) -> tuple[TickLine, ...]:
    """Return an animal's ticks; one to leave alone is weighed where it sits."""
    lines = _ticks(animal.tasks, animal.overdue, zone)
    if not {note.kind for note in animal.notes} & LEFT_ALONE:
        return lines
    return tuple(
        replace(line, text=f"{line.text}{ON_ITS_PERCH}")
        if line.kind is TaskKind.WEIGH and not line.done
        else line
        for line in lines
    )


def _ticks(
    tasks: Sequence[CareTask], overdue: Sequence[CareTask], zone: ZoneInfo
) -> tuple[TickLine, ...]:
    """Return what can be ticked: of the day, and of the days before what still can."""
    late = [
        TickLine(
            f"{tell_task(t, zone=zone)}; open since {_day(t.due_on)}",
            t.kind,
            done=False,
        )
        for t in still_to_do(tasks, overdue)
    ]
    own = (TickLine(tell_task(t, zone=zone), t.kind, not t.is_open) for t in tasks)
    return (*late, *own)


def _left_open(
    tasks: Sequence[CareTask], overdue: Sequence[CareTask], zone: ZoneInfo
) -> tuple[str, ...]:
    late = {task.key for task in still_to_do(tasks, overdue)}
    return tell_overdue([t for t in overdue if t.key not in late], zone=zone)


def _findings(
    findings: Sequence[RoundFinding], units: Units
) -> tuple[FindingLine, ...]:
    lines = []
    for finding in findings:
        words = describe(finding.kind, finding.evidence, units=units)
        lines.append(
            FindingLine(
                urgency=finding.urgency.value,
                mark=MARKS[finding.urgency],
                since=f"since {_day(finding.opened_on)}",
                what=words.what,
                first_step=words.first_step,
            )
        )
    return tuple(lines)


def _count(number: int, one: str) -> str:
    return f"{number} {one}" if number == 1 else f"{number} {one}s"


def _day(on: date) -> str:
    return numbers.day(on.isoformat())
