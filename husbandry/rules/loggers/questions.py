"""What a person has to say about a file, because the file does not."""

from dataclasses import dataclass

from husbandry.rules.loggers.dates import calendar_day
from husbandry.rules.loggers.mapping import UNITS_OF, Mapping, ValueColumn
from husbandry.rules.loggers.remarks import Question
from husbandry.rules.loggers.sheet import Sheet
from husbandry.rules.loggers.stamp_columns import StampChoice, stamp_texts
from husbandry.rules.loggers.stamps import read_stamps
from husbandry.rules.loggers.value_columns import ValueChoice, quantity_columns
from husbandry.rules.loggers.vocabulary import Asked, ClockForm, DayOrder, Facts, facts
from husbandry.rules.loggers.zones import SITE
from husbandry.rules.vocabulary import Quantity


@dataclass(frozen=True, slots=True)
class Evidence:
    """What the file itself says, decided or not."""

    stamp: StampChoice
    values: tuple[ValueChoice, ...]
    orders: tuple[DayOrder, ...]
    zone: str
    """Empty when the file says nothing."""
    unclear_zone: str


def channels_of(sheet: Sheet, mapping: Mapping) -> tuple[str, ...]:
    """Return the names of a file's channels, in the order of the file.

    Returns:
        One empty name when the file has a single instrument.
    """
    if mapping.channel_column is None:
        return tuple(dict.fromkeys(column.channel for column in mapping.values))
    cells = sheet.column(mapping.channel_column)
    return tuple(dict.fromkeys(cell for cell in cells if cell))


def open_questions(
    sheet: Sheet, mapping: Mapping, evidence: Evidence, *, saved: Mapping | None
) -> tuple[Question, ...]:
    """Return what is left to decide about a file.

    Args:
        sheet: the file.
        mapping: as far as it is decided.
        evidence: what the file itself says.
        saved: the source's earlier mapping, if any.

    Returns:
        One question for each undecided part; the zone is asked for without blocking
        when the file says nothing and nobody has answered before.
    """
    asked: list[Question] = []
    if evidence.stamp.others and saved is None:
        columns = (evidence.stamp.columns[0], *evidence.stamp.others)
        choices = tuple(sheet.label(index) for index in columns)
        asked.append(Question(Asked.STAMP_COLUMN, "", choices, ()))
    if mapping.clock is ClockForm.TIME_ONLY:
        first = sheet.rows[0][mapping.stamp_columns[0]] if sheet.rows else ""
        asked.append(Question(Asked.START_DATE, "", (), facts(value=first)))
    if mapping.day_order is None:
        asked.append(_day_order_question(sheet, evidence))
    if not mapping.values:
        choices = quantity_columns(sheet, taken=mapping.stamp_columns)
        asked.append(Question(Asked.QUANTITY, "", choices, ()))
    asked += [
        _unit_question(column, evidence)
        for column in mapping.values
        if column.unit is None
    ]
    asked += _channel_question(sheet, mapping)
    asked += _zone_question(sheet, mapping, evidence, saved=saved)
    return tuple(asked)


def _day_order_question(sheet: Sheet, evidence: Evidence) -> Question:
    """Ask for the day order, showing which days the file would span in each."""
    texts = stamp_texts(sheet, evidence.stamp.columns)
    dates = read_stamps(texts).dates
    spans = {}
    for order in evidence.orders:
        days = [day for parts in dates if (day := calendar_day(parts, order))]
        spans[f"{order}_from"], spans[f"{order}_to"] = min(days), max(days)
    return Question(
        Asked.DAY_ORDER,
        sheet.label(evidence.stamp.columns[0]),
        tuple(str(order) for order in evidence.orders),
        facts(value=next(filter(None, texts), ""), days=len(dates), **spans),
    )


def _unit_question(column: ValueColumn, evidence: Evidence) -> Question:
    """Ask for a unit, showing what the numbers would be in each."""
    named: Facts = ()
    for choice in evidence.values:
        if choice.column.index == column.index and choice.numbers:
            named = facts(low=choice.lowest, high=choice.highest)
            if column.quantity is Quantity.TEMPERATURE_C:
                named += facts(
                    low_if_f=round((float(choice.lowest) - 32) / 1.8, 1),
                    high_if_f=round((float(choice.highest) - 32) / 1.8, 1),
                )
    choices = tuple(str(unit) for unit in UNITS_OF[column.quantity])
    return Question(Asked.UNIT, column.name, choices, named)


def _channel_question(sheet: Sheet, mapping: Mapping) -> list[Question]:
    channels = channels_of(sheet, mapping)
    known = {channel for channel, _ in mapping.probes}
    if len(channels) < 2 or known.issuperset(channels):
        return []
    return [Question(Asked.CHANNELS, "", channels, facts(count=len(channels)))]


def _zone_question(
    sheet: Sheet, mapping: Mapping, evidence: Evidence, *, saved: Mapping | None
) -> list[Question]:
    if not mapping.zone:
        named = facts(value=evidence.unclear_zone)
        return [Question(Asked.ZONE, "", (), named)]
    if evidence.zone or saved is not None:
        return []
    stamps = read_stamps(stamp_texts(sheet, evidence.stamp.columns)[:20])
    # Stamps that carry their offset leave nothing to ask.
    if mapping.clock is ClockForm.TEXT and (abs(stamps.offset_s) < 86_400).all():
        return []
    return [Question(Asked.ZONE, "", (SITE,), (), blocking=False)]
