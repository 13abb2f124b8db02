"""The pages on conditions, notes, warning signs and what changes with age."""

from itertools import groupby

from husbandry.rules.profiles.vocabulary import CareTopic
from husbandry.rules.vocabulary import Quantity, Urgency
from placements.rules.packets import words
from placements.rules.packets.documents import Document
from placements.rules.packets.plans import (
    CarePlan,
    CompanyLine,
    OtherView,
    TargetLine,
    TextLine,
)
from placements.rules.packets.printing import quantities
from placements.rules.packets.printing.rows import (
    ChangeBlock,
    NoteGroup,
    Row,
    SignGroup,
    TargetRow,
)
from placements.rules.packets.printing.speech import Speech, mark, word

URGENCIES = {
    Urgency.NOW: word("Now: call a reptile vet at once"),
    Urgency.TODAY: word("Today: act today, and ask a reptile vet"),
    Urgency.WATCH: word("Watch: look again tomorrow, and write it down"),
}
URGENCY_WORDS = {
    Urgency.NOW: word("Now"),
    Urgency.TODAY: word("Today"),
    Urgency.WATCH: word("Watch"),
}
TOPICS = {
    CareTopic.ENCLOSURE: word("Enclosure"),
    CareTopic.COVER: word("Cover"),
    CareTopic.HEAT: word("Heat"),
    CareTopic.LIGHT: word("Light"),
    CareTopic.WATER: word("Water"),
    CareTopic.PLANTS: word("Plants"),
    CareTopic.FOOD: word("Food"),
    CareTopic.SUPPLEMENTS: word("Supplements"),
    CareTopic.EGGS: word("Eggs"),
    CareTopic.CONDITION: word("Condition"),
    CareTopic.COMPANY: word("Company"),
}
MOST_STAGES = 2


def target_rows(speech: Speech, plan: CarePlan) -> tuple[TargetRow, ...]:
    """Return the table of conditions, each value with its source and with others.

    In the order of a day: the basking spot, the rest of the enclosure, the night.
    """
    ordered = sorted(plan.targets, key=_place_in_day)
    return tuple(_target(speech, line) for line in ordered)


def _place_in_day(line: TargetLine) -> tuple[int, Quantity]:
    return words.place_in_day(line.zone, line.period), line.quantity


def _target(speech: Speech, line: TargetLine) -> TargetRow:
    quantity = line.quantity
    return TargetRow(
        spot=quantities.spot(speech, quantity, line.zone, line.period),
        wanted=quantities.wanted(speech, line.low, line.high, quantity),
        otherwise=quantities.wanted_otherwise(speech, line.low, line.high, quantity),
        limits=_limits(speech, line),
        tolerated=f"{line.tolerated_minutes} min",
        basis=speech.standing(line.basis),
        others=tuple(_other(speech, o, quantity) for o in line.others),
        agreed=line.agreed,
    )


def _limits(speech: Speech, line: TargetLine) -> str:
    parts = []
    if line.hard_low is not None:
        limit = quantities.limit(speech, line.hard_low, line.quantity)
        parts.append(speech.say("never below {limit}", limit=limit))
    if line.hard_high is not None:
        limit = quantities.limit(speech, line.hard_high, line.quantity)
        parts.append(speech.say("never above {limit}", limit=limit))
    return ", ".join(parts)


def _other(speech: Speech, other: OtherView, quantity: Quantity) -> str:
    says = (
        quantities.wanted_both(speech, other.low, other.high, quantity)
        if other.low is not None or other.high is not None
        else other.basis.note
    )
    return f"{other.basis.source}: {says}"


def conditions_of_a_day(speech: Speech, plan: CarePlan) -> tuple[Row, ...]:
    """Return what makes a day: light, company, food, weighing."""
    rows = []
    if plan.light is not None:
        hours = words.number_range(plan.light.hours_low, plan.light.hours_high)
        text = speech.say("{hours} hours a day, by a timer", hours=hours)
        rows.append(Row(speech.say("Light"), text, mark(plan.light.basis)))
    if plan.company is not None:
        text = _company(speech, plan.company)
        rows.append(Row(speech.say("Company"), text, mark(plan.company.basis)))
    if plan.feeding is not None:
        text = feeding(speech, plan)
        rows.append(Row(speech.say("Food"), text, mark(plan.feeding.basis)))
    if plan.weighing is not None:
        often = speech.every(plan.weighing.every_days, plan.weighing.every_days)
        text = speech.say("{often}, at the same hour", often=often)
        rows.append(Row(speech.say("Weigh"), text, mark(plan.weighing.basis)))
    return tuple(rows)


def _company(speech: Speech, rule: CompanyLine) -> str:
    if rule.alone and rule.no_sight_of_others:
        return speech.say("It lives alone, out of sight of any other of its kind")
    if rule.alone:
        return speech.say("It lives alone")
    if rule.no_sight_of_others:
        return speech.say(
            "Up to {most} together, out of sight of any other of its kind",
            most=rule.most,
        )
    return speech.say("Up to {most} together", most=rule.most)


def feeding(speech: Speech, plan: CarePlan) -> str:
    """Return how much and how often it eats now."""
    rule = plan.feeding
    if rule is None:
        return speech.say("The care profile says nothing about food at this age.")
    portion = words.number_range(rule.portion_low, rule.portion_high)
    often = speech.every(rule.every_days_low, rule.every_days_high)
    said = speech.say(
        "{portion} {unit}, {often}.", portion=portion, unit=rule.unit, often=often
    )
    return f"{said} {rule.note}".strip()


def notes(speech: Speech, plan: CarePlan, *topics: CareTopic) -> tuple[NoteGroup, ...]:
    """Return the notes on some topics, in the order asked for."""
    return tuple(
        NoteGroup(speech.say(TOPICS[topic]), rows)
        for topic in topics
        if (rows := text_rows([n for n in plan.notes if n.topic == topic.value]))
    )


def text_rows(lines: tuple[TextLine, ...] | list[TextLine]) -> tuple[Row, ...]:
    """Return sentences of the document, each with its mark."""
    return tuple(Row("", line.text, mark(line.basis)) for line in lines)


def sign_groups(speech: Speech, document: Document) -> tuple[SignGroup, ...]:
    """Return the warning signs and whom to call, the most urgent first."""
    if document.plan is None:
        return ()
    order = list(URGENCIES)
    signs = sorted(document.plan.signs, key=lambda s: order.index(s.urgency))
    return tuple(
        SignGroup(
            urgency.value,
            speech.say(URGENCIES[urgency]),
            tuple(Row(s.text, s.do, mark(s.basis)) for s in group),
            tuple(
                Row("", line.text, mark(line.basis))
                for line in document.calls
                if line.urgency is urgency
            ),
        )
        for urgency, group in groupby(signs, key=lambda s: s.urgency)
    )


def change_blocks(
    speech: Speech, plan: CarePlan, *, about: bool
) -> tuple[ChangeBlock, ...]:
    """Return the next life stages; `about` where the birthday is not exact."""
    exactly, roughly = word("{stage}: from {day}"), word("{stage}: from about {day}")
    heading = roughly if about else exactly
    return tuple(
        ChangeBlock(
            speech.say(heading, stage=change.stage, day=speech.day(change.on)),
            tuple((c.what, c.now, c.then) for c in change.changes),
        )
        for change in plan.changes[:MOST_STAGES]
    )
