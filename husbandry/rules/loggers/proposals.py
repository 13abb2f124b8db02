"""A proposed mapping, what it rests on, and what a person still has to say."""

from dataclasses import dataclass, replace
from decimal import Decimal

from husbandry.rules.loggers.columns import decimal_mark_of, numbers_in
from husbandry.rules.loggers.mapping import Mapping
from husbandry.rules.loggers.questions import Evidence, open_questions
from husbandry.rules.loggers.remarks import Question
from husbandry.rules.loggers.sheet import Sheet
from husbandry.rules.loggers.stamp_columns import (
    choose_stamp_columns,
    day_orders,
    stated_zone,
)
from husbandry.rules.loggers.trust import ColumnNumbers, check_decimals
from husbandry.rules.loggers.value_columns import (
    choose_value_columns,
    find_channel_column,
)
from husbandry.rules.loggers.vocabulary import (
    Why,
)
from husbandry.rules.loggers.zones import SITE


@dataclass(frozen=True, slots=True)
class ProposedColumn:
    """What one column was taken for, and on what grounds."""

    index: int
    name: str
    meaning: str
    """`stamp`, `channel` or a quantity."""
    why: Why
    share_pct: int
    """How much of the column fits that."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """A mapping to show to a person before anything is read by it."""

    mapping: Mapping
    columns: tuple[ProposedColumn, ...]
    questions: tuple[Question, ...]

    @property
    def is_ready(self) -> bool:
        """Say whether nothing is left that must be answered first."""
        return not any(question.blocking for question in self.questions)


def propose_mapping(sheet: Sheet, *, saved: Mapping | None) -> Proposal:
    """Propose what each column of a file means.

    A saved mapping for the same headings is used as it is, except where the file
    proves it wrong (a day order that the column excludes, another decimal mark). For
    other headings it answers what the new file leaves open: day order, zone, units
    of columns of the same name, probes.

    Args:
        sheet: the file.
        saved: the mapping of the same source, or None for its first file.

    Returns:
        The mapping with its open parts undecided, never guessed, and a question for
        each of them.

    Raises:
        UntrustedFileError: when no stamp can be found, dates contradict each other,
            or decimal marks are mixed.

    Source:
        House rule, no source; see ADR 0009.
    """
    fresh, evidence = _draft(sheet)
    mapping = fresh if saved is None else _with_saved(fresh, evidence, saved)
    mapping = _with_shown_mark(sheet, mapping, evidence)
    check_decimals(_column_numbers(mapping, evidence))
    same = saved is not None and saved.header == sheet.header
    return Proposal(
        mapping=mapping,
        columns=_columns(sheet, mapping, evidence, same=same),
        questions=open_questions(sheet, mapping, evidence, saved=saved),
    )


def _draft(sheet: Sheet) -> tuple[Mapping, Evidence]:
    stamp = choose_stamp_columns(sheet)
    values = choose_value_columns(sheet, taken=stamp.columns)
    orders = day_orders(sheet, stamp)
    zone = stated_zone(sheet, stamp)
    taken = (*stamp.columns, *(choice.column.index for choice in values))
    # Instruments side by side already have names: their columns.
    is_single = len({choice.column.channel for choice in values}) <= 1
    unclear = zone.written if zone and not zone.zone else ""
    mapping = Mapping(
        header=sheet.header,
        stamp_columns=stamp.columns,
        clock=stamp.clock,
        day_order=orders[0] if len(orders) == 1 else None,
        zone="" if unclear else zone.zone if zone else SITE,
        decimal_mark=".",
        values=tuple(choice.column for choice in values),
        channel_column=find_channel_column(sheet, taken=taken) if is_single else None,
    )
    said = zone.zone if zone else ""
    return mapping, Evidence(stamp, values, orders, said, unclear)


def _column_numbers(mapping: Mapping, evidence: Evidence) -> list[ColumnNumbers]:
    """Return the numbers of the columns whose unit is decided.

    A file that has lost its decimals is refused before anybody is asked about it.
    """
    decided = {column.index: column.unit for column in mapping.values if column.unit}
    return [
        ColumnNumbers(
            choice.column.name,
            choice.column.quantity,
            decided[choice.column.index],
            tuple((w.value, bool(w.mark), rows) for w, rows in choice.numbers),
        )
        for choice in evidence.values
        if choice.column.index in decided
    ]


def _with_shown_mark(sheet: Sheet, mapping: Mapping, evidence: Evidence) -> Mapping:
    """Return the mapping with the decimal mark that the file's own numbers show."""
    sentinels = frozenset(Decimal(number) for number in mapping.sentinels)
    read = {choice.column.index: choice.numbers for choice in evidence.values}
    mark = decimal_mark_of(
        number
        for column in mapping.values
        for number in read.get(column.index)
        or numbers_in(sheet.column(column.index), sentinels=sentinels)
    )
    return replace(mapping, decimal_mark=mark.mark) if mark.shown else mapping


def _with_saved(fresh: Mapping, evidence: Evidence, saved: Mapping) -> Mapping:
    same = saved.header == fresh.header
    mapping = saved if same else _filled_in(fresh, evidence, saved)
    if fresh.day_order is not None:
        return replace(mapping, day_order=fresh.day_order)
    known = saved.day_order if saved.day_order in evidence.orders else None
    return replace(mapping, day_order=known)


def _filled_in(fresh: Mapping, evidence: Evidence, saved: Mapping) -> Mapping:
    units = {(column.name, column.quantity): column.unit for column in saved.values}
    values = tuple(
        column
        if column.unit
        else replace(column, unit=units.get((column.name, column.quantity)))
        for column in fresh.values
    )
    zone = fresh.zone if evidence.zone else saved.zone
    return replace(
        fresh, values=values, zone=zone, probes=saved.probes, sentinels=saved.sentinels
    )


def _columns(
    sheet: Sheet, mapping: Mapping, evidence: Evidence, *, same: bool
) -> tuple[ProposedColumn, ...]:
    grounds = Why.HEADER if evidence.stamp.by_heading else Why.CONTENT
    share_pct = round(evidence.stamp.share * 100)
    found = [
        ProposedColumn(
            index,
            sheet.label(index),
            "stamp",
            Why.SAVED if same else grounds,
            share_pct,
        )
        for index in mapping.stamp_columns
    ]
    if mapping.channel_column is not None:
        name = sheet.label(mapping.channel_column)
        why = Why.SAVED if same else Why.HEADER
        found.append(ProposedColumn(mapping.channel_column, name, "channel", why, 100))
    rows = max(len(sheet.rows), 1)
    counts = {c.column.index: sum(n for _, n in c.numbers) for c in evidence.values}
    found += [
        ProposedColumn(
            column.index,
            column.name,
            str(column.quantity),
            Why.SAVED if same else Why.HEADER,
            round(100 * counts.get(column.index, 0) / rows),
        )
        for column in mapping.values
    ]
    return tuple(found)
