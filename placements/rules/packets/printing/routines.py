"""The day by the clock, and twelve months at a glance."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from husbandry.rules.vocabulary import FeedingOrderKind, LampKind
from placements.rules.packets import words
from placements.rules.packets.documents import Document
from placements.rules.packets.printing.rows import Row
from placements.rules.packets.printing.sheets import in_sentence
from placements.rules.packets.printing.speech import Speech, mark, word
from placements.rules.packets.routines import (
    FeedingSpell,
    LampDay,
    LampWork,
    LightsBasis,
    MonthPlan,
    StageBegin,
    SupplementDays,
)

LIGHTS = {
    LightsBasis.HOME: word(
        "The hours are those of its new enclosure, as it was described to us."
    ),
    LightsBasis.HERE: word("The hours are those it is used to from here."),
    LightsBasis.CONVENTION: word(
        "The hours are an example: no timer is on record. Keep their distance from "
        "each other and shift them to your day."
    ),
}
AGREED = {
    FeedingOrderKind.FAST: word("No food"),
    FeedingOrderKind.ASSIST: word("Fed by hand or syringe"),
    FeedingOrderKind.RHYTHM: word("A rhythm of its own"),
}
LAMPS = {LampKind.UVB_TUBE: word("UVB tube"), LampKind.HEAT: word("heat lamp")}
LAMP_WORK = {
    LampWork.MEASURE: word("measure the {lamp}"),
    LampWork.REPLACE: word("replace the {lamp}"),
}
NOTHING = "–"


@dataclass(frozen=True, slots=True)
class ClockRow:
    """One line of the day."""

    at: str
    text: str
    mark: str


@dataclass(frozen=True, slots=True)
class MonthRow:
    """One month at a glance."""

    month: str
    food: tuple[str, ...]
    supplements: tuple[str, ...]
    weigh: str
    also: tuple[str, ...]


def clock_rows(speech: Speech, document: Document) -> tuple[ClockRow, ...]:
    """Return the day by the clock; nothing where none was laid out."""
    if document.day is None:
        return ()
    return tuple(
        ClockRow(
            f"{speech.clock(line.at)}–{speech.clock(line.until)}"
            if line.until
            else speech.clock(line.at),
            line.text,
            mark(line.basis),
        )
        for line in document.day.lines
    )


def whose_hours(speech: Speech, document: Document) -> str:
    """Return where the clock times come from."""
    return speech.say(LIGHTS[document.day.lights]) if document.day else ""


def month_rows(speech: Speech, document: Document) -> tuple[MonthRow, ...]:
    """Return the first twelve months, one row each."""
    always = _always(document)
    return tuple(_month(speech, plan, always) for plan in document.months)


def every_feeding(document: Document) -> str:
    """Return what goes on every feeding of all twelve months."""
    return ", ".join(in_sentence(name) for name in _always(document))


def _always(document: Document) -> tuple[str, ...]:
    found = {plan.every_feeding for plan in document.months}
    return found.pop() if len(found) == 1 else ()


def _month(speech: Speech, plan: MonthPlan, always: tuple[str, ...]) -> MonthRow:
    supplements = [
        speech.say("{name}: every feeding", name=name)
        for name in plan.every_feeding
        if name not in always
    ]
    supplements += [_supplement(speech, line) for line in plan.supplements if line.on]
    return MonthRow(
        month=_name(speech, plan),
        food=tuple(_spell(speech, plan, spell) for spell in plan.feeding) or (NOTHING,),
        supplements=tuple(supplements) or (NOTHING,),
        weigh=_days(plan.weigh_on) or NOTHING,
        also=(
            *(_begin(speech, begin) for begin in plan.begins),
            *(_lamp(speech, lamp) for lamp in plan.lamps),
        )
        or (NOTHING,),
    )


def _supplement(speech: Speech, line: SupplementDays) -> str:
    said = f"{line.name}: {_days(line.on)}"
    if not line.instead_of:
        return said
    instead = speech.say("instead of {name}", name=in_sentence(line.instead_of))
    return f"{said} ({instead})"


def _name(speech: Speech, plan: MonthPlan) -> str:
    """Return the month, with its days where it is a part of one."""
    whole = speech.month(plan.from_on)
    starts = plan.from_on.day == 1
    last = plan.until_on.day
    if starts and last >= _length(plan.until_on):
        return whole
    return f"{whole}, {plan.from_on.day}–{last}"


def _length(on: date) -> int:
    following = date(on.year + on.month // 12, on.month % 12 + 1, 1)
    return (following - on.replace(day=1)).days


def _days(days: Sequence[date]) -> str:
    return ", ".join(str(on.day) for on in days)


def _spell(speech: Speech, plan: MonthPlan, spell: FeedingSpell) -> str:
    if spell.agreed is FeedingOrderKind.FAST:
        said = speech.say("no food, as agreed")
    else:
        said = speech.say(
            "{portion} {unit}, {often}",
            portion=words.number_range(spell.portion_low, spell.portion_high),
            unit=spell.unit,
            often=speech.every(spell.every_days_low, spell.every_days_high),
        )
    fed = [on for on in plan.feed_on if spell.from_on <= on <= spell.until_on]
    every_day = len(fed) == (spell.until_on - spell.from_on).days + 1
    if fed and not every_day:
        said = f"{said}: {_days(fed)}"
    if len(plan.feeding) > 1:
        return f"{spell.from_on.day}–{spell.until_on.day}: {said}"
    return said


def _begin(speech: Speech, begin: StageBegin) -> str:
    said = (
        word("about {day}: {stage} begins, see what changes")
        if begin.about
        else word("{day}: {stage} begins, see what changes")
    )
    return speech.say(said, day=begin.on.day, stage=in_sentence(begin.stage))


def _lamp(speech: Speech, lamp: LampDay) -> str:
    work = speech.say(LAMP_WORK[lamp.work], lamp=speech.say(LAMPS[lamp.lamp]))
    return f"{lamp.on.day}: {work}"


def order_rows(speech: Speech, document: Document) -> tuple[Row, ...]:
    """Return what was agreed of its food and still holds."""
    rows = []
    for order in document.feeding_orders:
        said = speech.say(AGREED[order.kind])
        if order.portion and order.every_days:
            said = speech.say(
                "{kind}: {portion} {unit}, {often}",
                kind=said,
                portion=order.portion,
                unit=order.unit,
                often=speech.every(order.every_days, order.every_days),
            )
        spell = speech.span(order.from_on, order.until_on)
        rows.append(Row(spell, said, order.reason))
    return tuple(rows)
