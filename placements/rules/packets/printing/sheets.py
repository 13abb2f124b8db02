"""The month sheet for the wall, and the list of feeders."""

from datetime import timedelta
from itertools import groupby

from husbandry.rules.profiles.vocabulary import FeederUse
from placements.rules.packets import words
from placements.rules.packets.plans import CalendarDay, CarePlan, FeederLine
from placements.rules.packets.printing.care import mark
from placements.rules.packets.printing.rows import NoteGroup, Row, SheetDay

WEEKDAYS = (
    *("Monday", "Tuesday", "Wednesday", "Thursday"),
    *("Friday", "Saturday", "Sunday"),
)
USES = {
    FeederUse.STAPLE: "Every day's food",
    FeederUse.TREAT: "A treat now and then",
    FeederUse.NEVER: "Never",
}
NO_DAY = SheetDay("", feed=False, extra=False, supplements="")


def weeks(plan: CarePlan) -> tuple[tuple[SheetDay, ...], ...]:
    """Return the month sheet as weeks of seven days, Monday first."""
    if not plan.calendar:
        return ()
    usual = _usual(plan)
    first_on = plan.calendar[0].on
    cells = [NO_DAY] * first_on.weekday()
    cells += [_day(d, usual, first=d.on == first_on) for d in plan.calendar]
    cells += [NO_DAY] * (-len(cells) % 7)
    return tuple(tuple(cells[i : i + 7]) for i in range(0, len(cells), 7))


def _usual(plan: CarePlan) -> tuple[str, ...]:
    given = [d.supplements for d in plan.calendar if d.feed]
    return max(set(given), key=given.count) if given else ()


def _day(cell: CalendarDay, usual: tuple[str, ...], *, first: bool) -> SheetDay:
    month = words.MONTHS[cell.on.month - 1]
    named = first or cell.on.day == 1
    return SheetDay(
        label=f"{cell.on.day} {month}" if named else str(cell.on.day),
        feed=cell.feed,
        extra=cell.feed and cell.supplements != usual,
        supplements=", ".join(_in_sentence(name) for name in cell.supplements),
    )


def _in_sentence(name: str) -> str:
    return name[:1].lower() + name[1:]


def sheet_title(plan: CarePlan) -> str:
    """Return from when until when the sheet reaches."""
    if not plan.calendar:
        return ""
    first, last = plan.calendar[0].on, plan.calendar[-1].on
    return f"{words.day(first)} to {words.day(last)}"


def goes_on(plan: CarePlan) -> str:
    """Return the day from which the sheet goes on by hand."""
    return words.day(plan.calendar[-1].on + timedelta(days=1)) if plan.calendar else ""


def supplements(plan: CarePlan) -> tuple[Row, ...]:
    """Return the supplements, each with its own sentence and source."""
    return tuple(Row(s.topic, s.text, mark(s.basis)) for s in plan.supplements)


def feeders(plan: CarePlan) -> tuple[NoteGroup, ...]:
    """Return the feeder animals by use; those it is too young for say from when."""
    groups = (
        NoteGroup(USES[use], _together([f for f in plan.feeders if f.use is use]))
        for use in FeederUse
    )
    return tuple(group for group in groups if group.notes)


def _together(lines: list[FeederLine]) -> tuple[Row, ...]:
    """Return the feeders with something to say, then the others in one row."""
    said = [f for f in lines if f.text or f.from_on]
    rest = [f for f in lines if not (f.text or f.from_on)]
    rows = [_feeder(f) for f in said]
    for basis, group in groupby(rest, key=lambda f: mark(f.basis)):
        rows.append(Row(", ".join(f.name for f in group), "", basis))
    return tuple(rows)


def _feeder(line: FeederLine) -> Row:
    when = f"not before {words.day(line.from_on)}. " if line.from_on else ""
    return Row(line.name, f"{when}{line.text}", mark(line.basis))
