"""The pages on conditions, notes, warning signs and what changes with age."""

from itertools import groupby

from husbandry.rules.sentences import numbers
from husbandry.rules.vocabulary import Quantity, Standing, Urgency
from placements.rules.packets import words
from placements.rules.packets.plans import (
    Basis,
    CarePlan,
    CompanyLine,
    OtherView,
    TargetLine,
    TextLine,
)
from placements.rules.packets.printing.rows import (
    ChangeBlock,
    NoteGroup,
    Row,
    SignGroup,
    TargetRow,
)

URGENCIES = {
    Urgency.NOW: "Now: call a reptile vet at once",
    Urgency.TODAY: "Today: act today, and ask a reptile vet",
    Urgency.WATCH: "Watch: look again tomorrow, and write it down",
}

# This key stands for "no source"; the standing says so already.
UNSOURCED = "common-practice"
MOST_STAGES = 2


def standing(basis: Basis) -> str:
    """Return on whose word a value rests: its standing and the source's key."""
    said = words.STANDINGS[basis.standing]
    return said if basis.source == UNSOURCED else f"{said} [{basis.source}]"


def mark(basis: Basis) -> str:
    """Return the short mark behind a sentence; the foot of each page explains it."""
    if basis.standing is Standing.PUBLISHED:
        return f"[{basis.source}]"
    return {Standing.COMMON_PRACTICE: "(C)", Standing.FROM_MEMORY: "(M)"}[
        basis.standing
    ]


def target_rows(plan: CarePlan) -> tuple[TargetRow, ...]:
    """Return the table of conditions, each value with its source and with others.

    In the order of a day: the basking spot, the rest of the enclosure, the night.
    """
    return tuple(_target(line) for line in sorted(plan.targets, key=_place_in_day))


def _place_in_day(line: TargetLine) -> tuple[int, Quantity]:
    return words.place_in_day(line.zone, line.period), line.quantity


def _target(line: TargetLine) -> TargetRow:
    quantity = line.quantity
    return TargetRow(
        spot=words.spot(quantity, line.zone, line.period),
        metric=words.wanted(line.low, line.high, quantity),
        imperial=words.wanted_imperial(line.low, line.high, quantity),
        limits=_limits(line),
        tolerated=f"{line.tolerated_minutes} min",
        basis="agreed for this animal" if line.agreed else standing(line.basis),
        others=tuple(_other(o, quantity) for o in line.others),
        agreed=line.agreed,
    )


def _limits(line: TargetLine) -> str:
    parts = []
    if line.hard_low is not None:
        limit = words.wanted_both(line.hard_low, None, line.quantity)
        parts.append(f"never below {limit.replace('at least ', '')}")
    if line.hard_high is not None:
        limit = words.wanted_both(None, line.hard_high, line.quantity)
        parts.append(f"never above {limit.replace('at most ', '')}")
    return ", ".join(parts)


def _other(other: OtherView, quantity: Quantity) -> str:
    says = (
        words.wanted_both(other.low, other.high, quantity)
        if other.low is not None or other.high is not None
        else other.basis.note
    )
    return f"{other.basis.source}: {says}"


def conditions_of_a_day(plan: CarePlan) -> tuple[Row, ...]:
    """Return what makes a day: light, company, food, weighing."""
    rows = []
    if plan.light is not None:
        hours = words.number_range(plan.light.hours_low, plan.light.hours_high)
        rows.append(
            Row("Light", f"{hours} hours a day, by a timer", mark(plan.light.basis))
        )
    if plan.company is not None:
        rows.append(Row("Company", _company(plan.company), mark(plan.company.basis)))
    if plan.feeding is not None:
        rows.append(Row("Food", feeding(plan), mark(plan.feeding.basis)))
    if plan.weighing is not None:
        often = numbers.every(plan.weighing.every_days, plan.weighing.every_days)
        rows.append(
            Row("Weigh", f"{often}, at the same hour", mark(plan.weighing.basis))
        )
    return tuple(rows)


def _company(rule: CompanyLine) -> str:
    text = "It lives alone" if rule.alone else f"Up to {rule.most} together"
    if rule.no_sight_of_others:
        return f"{text}, out of sight of any other of its kind"
    return text


def feeding(plan: CarePlan) -> str:
    """Return how much and how often it eats now."""
    rule = plan.feeding
    if rule is None:
        return "The care profile says nothing about food at this age."
    portion = words.number_range(rule.portion_low, rule.portion_high)
    often = numbers.every(rule.every_days_low, rule.every_days_high)
    note = f" {rule.note}" if rule.note else ""
    return f"{portion} {rule.unit}, {often}.{note}"


def notes(plan: CarePlan, *topics: str) -> tuple[NoteGroup, ...]:
    """Return the notes on some topics, in the order asked for."""
    return tuple(
        NoteGroup(topic.replace("_", " ").capitalize(), rows)
        for topic in topics
        if (rows := tuple(_note(n) for n in plan.notes if n.topic == topic))
    )


def _note(line: TextLine) -> Row:
    return Row("", line.text, mark(line.basis))


def sign_groups(plan: CarePlan) -> tuple[SignGroup, ...]:
    """Return the warning signs, the most urgent first."""
    order = list(URGENCIES)
    signs = sorted(plan.signs, key=lambda s: order.index(s.urgency))
    return tuple(
        SignGroup(
            urgency.value,
            URGENCIES[urgency],
            tuple(Row(s.text, s.do, mark(s.basis)) for s in group),
        )
        for urgency, group in groupby(signs, key=lambda s: s.urgency)
    )


def change_blocks(plan: CarePlan, *, about: bool) -> tuple[ChangeBlock, ...]:
    """Return the next life stages; `about` where the birthday is not exact."""
    return tuple(
        ChangeBlock(
            f"{change.stage}: from {'about ' if about else ''}{words.day(change.on)}",
            tuple((c.what, c.now, c.then) for c in change.changes),
        )
        for change in plan.changes[:MOST_STAGES]
    )
