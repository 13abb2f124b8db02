"""The month sheet for the wall, and the list of feeders."""

from datetime import timedelta
from itertools import groupby

from husbandry.rules.profiles.vocabulary import FeederUse
from placements.rules.packets.plans import CalendarDay, CarePlan, FeederLine
from placements.rules.packets.printing.rows import NoteGroup, Row, SheetDay
from placements.rules.packets.printing.speech import Speech, mark, word

USES = {
    FeederUse.STAPLE: word("Every day's food"),
    FeederUse.TREAT: word("A treat now and then"),
    FeederUse.NEVER: word("Never"),
}
NO_DAY = SheetDay("", feed=False, extra=False, supplements="")


def weeks(speech: Speech, plan: CarePlan) -> tuple[tuple[SheetDay, ...], ...]:
    """Return the month sheet as weeks of seven days, Monday first."""
    if not plan.calendar:
        return ()
    usual = _usual(plan)
    first_on = plan.calendar[0].on
    cells = [NO_DAY] * first_on.weekday()
    cells += [_day(speech, d, usual, first=d.on == first_on) for d in plan.calendar]
    cells += [NO_DAY] * (-len(cells) % 7)
    return tuple(tuple(cells[i : i + 7]) for i in range(0, len(cells), 7))


def _usual(plan: CarePlan) -> tuple[str, ...]:
    given = [d.supplements for d in plan.calendar if d.feed]
    return max(set(given), key=given.count) if given else ()


def _day(
    speech: Speech, cell: CalendarDay, usual: tuple[str, ...], *, first: bool
) -> SheetDay:
    named = first or cell.on.day == 1
    return SheetDay(
        label=speech.day_of_year(cell.on) if named else str(cell.on.day),
        feed=cell.feed,
        extra=cell.feed and cell.supplements != usual,
        supplements=", ".join(in_sentence(name) for name in cell.supplements),
    )


def in_sentence(name: str) -> str:
    """Return a name as it stands within a sentence."""
    return name[:1].lower() + name[1:]


def sheet_title(speech: Speech, plan: CarePlan) -> str:
    """Return from when until when the sheet reaches."""
    if not plan.calendar:
        return ""
    return speech.span(plan.calendar[0].on, plan.calendar[-1].on)


def goes_on(speech: Speech, plan: CarePlan) -> str:
    """Return the day from which the sheet goes on by hand."""
    if not plan.calendar:
        return ""
    return speech.day(plan.calendar[-1].on + timedelta(days=1))


def supplements(plan: CarePlan) -> tuple[Row, ...]:
    """Return the supplements, each with its own sentence and source."""
    return tuple(Row(s.topic, s.text, mark(s.basis)) for s in plan.supplements)


def feeders(speech: Speech, plan: CarePlan) -> tuple[NoteGroup, ...]:
    """Return the feeder animals by use; those it is too young for say from when."""
    groups = (
        NoteGroup(
            speech.say(USES[use]),
            _together(speech, [f for f in plan.feeders if f.use is use]),
        )
        for use in FeederUse
    )
    return tuple(group for group in groups if group.notes)


def _together(speech: Speech, lines: list[FeederLine]) -> tuple[Row, ...]:
    """Return the feeders with something to say, then the others in one row."""
    said = [f for f in lines if f.text or f.from_on]
    rest = [f for f in lines if not (f.text or f.from_on)]
    rows = [_feeder(speech, f) for f in said]
    for basis, group in groupby(rest, key=lambda f: mark(f.basis)):
        rows.append(Row(", ".join(f.name for f in group), "", basis))
    return tuple(rows)


def _feeder(speech: Speech, line: FeederLine) -> Row:
    when = ""
    if line.from_on:
        when = speech.say("not before {day}.", day=speech.day(line.from_on))
    return Row(line.name, f"{when} {line.text}".strip(), mark(line.basis))
