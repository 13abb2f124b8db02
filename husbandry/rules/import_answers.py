"""What a person answers about a file, and what is still left to ask."""

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from core.errors import DomainError
from husbandry.rules.loggers.columns import decimal_mark_of, numbers_in
from husbandry.rules.loggers.mapping import UNITS_OF, Mapping, ValueColumn
from husbandry.rules.loggers.numbers import Written
from husbandry.rules.loggers.proposals import Proposal
from husbandry.rules.loggers.questions import channels_of
from husbandry.rules.loggers.remarks import Question
from husbandry.rules.loggers.sentences import question_sentence
from husbandry.rules.loggers.sheet import Sheet
from husbandry.rules.loggers.vocabulary import (
    Asked,
    DayOrder,
    Facts,
    Unit,
    Untrusted,
    facts,
)
from husbandry.rules.vocabulary import Quantity

ABOUT_ANSWERS = frozenset(
    (
        Untrusted.MAPPING_UNUSABLE,
        Untrusted.MAPPING_UNDECIDED,
        Untrusted.MAPPING_NOT_FITTING,
        Untrusted.DAY_ORDER_IMPOSSIBLE,
        Untrusted.START_DATE_MISSING,
    )
)
"""Refusals that are no fault of the file: another answer mends them."""


class AnswerUnusableError(DomainError):
    """An answer names something that the file does not have."""

    code = "answer_unusable"


class FileUndecidedError(DomainError):
    """A person has to say something about the file before it can be read.

    `questions` holds what; `fields` has a sentence for each, by its `Asked` word.
    """

    code = "file_undecided"

    def __init__(self, file_name: str, questions: tuple[Question, ...]) -> None:
        """Keep the questions, and put them into one sentence after the other."""
        sentences = {str(q.asked): ask(q) for q in questions}
        asked = " ".join(ask(question) for question in questions)
        super().__init__(
            f"Nothing of {file_name} was taken yet, because it does not say enough. "
            f"{asked}",
            fields=sentences,
        )
        self.questions = questions


def ask(question: Question) -> str:
    """Return the sentence that asks a person for one thing."""
    if question.asked is Asked.CHANNELS and len(question.choices) == 1:
        (channel,) = question.choices
        named = f"channel {channel!r}" if channel else "the file"
        return f"Which probe does {named} belong to?"
    return question_sentence(question)


@dataclass(frozen=True, slots=True)
class Answers:
    """What a person says about one file; what is left empty was not said."""

    day_order: DayOrder | None = None
    units: tuple[Unit, ...] = ()
    """Each for every column that can be in it."""
    zone: str = ""
    """The zone of the logger's clock: `site`, an offset or an IANA name."""
    starts_on: date | None = None
    """The local day of the first row, where rows have times only."""
    stamp_column: str = ""
    """The heading of the column with the instant."""
    quantities: tuple[tuple[str, Quantity], ...] = ()
    """(heading, quantity) of columns that are not recognised."""


NO_ANSWERS = Answers()


def apply_answers(sheet: Sheet, mapping: Mapping, answers: Answers) -> Mapping:
    """Return the mapping with what a person said.

    Args:
        sheet: the file that the mapping was proposed for.
        mapping: as it was proposed.
        answers: what was said; an answer wins over what the file seemed to say.

    Raises:
        AnswerUnusableError: a heading is not in the file, or a unit fits no column.
        UntrustedFileError: mapping_unusable, for a zone that does not exist.
    """
    if answers.stamp_column:
        at = _column(sheet, answers.stamp_column)
        mapping = replace(mapping, stamp_columns=(at,))
    for heading, quantity in answers.quantities:
        mapping = _with_quantity(sheet, mapping, heading, quantity)
    for unit in answers.units:
        if not any(unit in UNITS_OF[column.quantity] for column in mapping.values):
            raise AnswerUnusableError(
                f"No column of {sheet.name} can be in the unit {unit.value!r}. "
                "Leave it out.",
                fields={"unit": unit.value},
            )
        mapping = mapping.with_unit(unit)
    if answers.day_order:
        mapping = mapping.with_day_order(answers.day_order)
    return mapping.with_zone(answers.zone) if answers.zone else mapping


def _column(sheet: Sheet, heading: str) -> int:
    for index in range(sheet.width):
        if sheet.label(index) == heading:
            return index
    headings = ", ".join(repr(sheet.label(n)) for n in range(sheet.width))
    raise AnswerUnusableError(
        f"{sheet.name} has no column {heading!r}. It has {headings}.",
        fields={"column": heading},
    )


def _with_quantity(
    sheet: Sheet, mapping: Mapping, heading: str, quantity: Quantity
) -> Mapping:
    index = _column(sheet, heading)
    units = UNITS_OF[quantity]
    column = ValueColumn(
        index=index,
        name=sheet.label(index),
        quantity=quantity,
        unit=units[0] if len(units) == 1 else None,
        channel=next((c.channel for c in mapping.values), ""),
    )
    others = tuple(
        other
        for other in mapping.values
        if other.index != index
        and (other.channel, other.quantity) != (column.channel, quantity)
    )
    mapping = replace(mapping, values=(*others, column))
    mark = decimal_mark_of(
        number
        for column in mapping.values
        for number in _numbers(sheet, mapping, column.index)
    )
    return replace(mapping, decimal_mark=mark.mark) if mark.shown else mapping


def still_open(
    sheet: Sheet,
    proposal: Proposal,
    mapping: Mapping,
    answers: Answers,
    *,
    settled_channels: Collection[str],
) -> tuple[Question, ...]:
    """Return the questions that the answers leave open and that must be answered.

    Args:
        sheet: the file.
        proposal: what was proposed and asked.
        mapping: with the answers applied.
        answers: what was said.
        settled_channels: channels that have a probe or were left out on purpose.
    """
    open_now = [
        question
        for question in proposal.questions
        if question.blocking and not _is_answered(question, mapping, answers)
    ]
    asked_units = {q.column for q in open_now if q.asked is Asked.UNIT}
    open_now += [
        Question(
            Asked.UNIT,
            column.name,
            tuple(map(str, UNITS_OF[column.quantity])),
            _lowest_highest(sheet, mapping, column.index),
        )
        for column in mapping.values
        if column.unit is None and column.name not in asked_units
    ]
    left = tuple(c for c in channels_of(sheet, mapping) if c not in settled_channels)
    if left:
        open_now.append(Question(Asked.CHANNELS, "", left, facts(count=len(left))))
    return tuple(open_now)


def _is_answered(question: Question, mapping: Mapping, answers: Answers) -> bool:
    match question.asked:
        case Asked.DAY_ORDER:
            return mapping.day_order is not None
        case Asked.UNIT:
            return all(
                column.unit is not None
                for column in mapping.values
                if column.name == question.column
            )
        case Asked.QUANTITY:
            return bool(mapping.values)
        case Asked.STAMP_COLUMN:
            return bool(answers.stamp_column)
        case Asked.START_DATE:
            return answers.starts_on is not None
        case Asked.ZONE:
            return bool(mapping.zone)
        case _:
            return True  # channels are asked for anew: those that are left


def _lowest_highest(sheet: Sheet, mapping: Mapping, index: int) -> Facts:
    values = [written.value for written, _ in _numbers(sheet, mapping, index)]
    return facts(low=min(values, default="–"), high=max(values, default="–"))


def _numbers(sheet: Sheet, mapping: Mapping, index: int) -> list[tuple[Written, int]]:
    sentinels = frozenset(Decimal(number) for number in mapping.sentinels)
    return numbers_in(sheet.column(index), sentinels=sentinels)
