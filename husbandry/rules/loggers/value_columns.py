"""Which columns of a sheet are readings, of which quantity, unit and channel."""

from collections import Counter
from dataclasses import dataclass
from decimal import Decimal

from husbandry.rules.loggers.columns import Content, content_of, numbers_in
from husbandry.rules.loggers.headers import (
    QUANTITIES,
    Meaning,
    Role,
    meaning,
)
from husbandry.rules.loggers.lexicon import SENTINELS, UNIT_WORDS
from husbandry.rules.loggers.mapping import ValueColumn
from husbandry.rules.loggers.numbers import Written
from husbandry.rules.loggers.sheet import Sheet
from husbandry.rules.loggers.units import temperature_unit
from husbandry.rules.loggers.vocabulary import Unit
from husbandry.rules.loggers.words import tokens

MOST_CHANNELS = 64
DEFAULT_SENTINELS = frozenset(Decimal(number) for number in SENTINELS)


@dataclass(frozen=True, slots=True)
class ValueChoice:
    """A column of readings, with its numbers."""

    column: ValueColumn
    numbers: tuple[tuple[Written, int], ...]

    @property
    def lowest(self) -> Decimal:
        """Return the smallest number as written."""
        return min(written.value for written, _ in self.numbers)

    @property
    def highest(self) -> Decimal:
        """Return the largest number as written."""
        return max(written.value for written, _ in self.numbers)


def choose_value_columns(
    sheet: Sheet, *, taken: tuple[int, ...]
) -> tuple[ValueChoice, ...]:
    """Return the columns whose heading names a quantity and that hold numbers.

    The same spot in °C and °F is one reading, not two: the column in °C is kept.

    Args:
        sheet: the file.
        taken: the stamp's columns.
    """
    found = []
    for index, heading in enumerate(sheet.header):
        said = meaning(heading)
        if said.role not in QUANTITIES or index in taken:
            continue
        cells = sheet.column(index)
        numbers = numbers_in(cells, sentinels=DEFAULT_SENTINELS)
        content, _ = content_of(cells, stamp_heading=False, clock_heading=False)
        # Nothing but sentinels is a column of readings too, though an empty one.
        if numbers or content is Content.NUMBER:
            found.append((index, said, tuple(numbers)))
    single = _in_one_unit(found)
    labels = _channels(sheet, single)
    return tuple(
        ValueChoice(
            ValueColumn(
                index=index,
                name=sheet.label(index),
                quantity=QUANTITIES[said.role],
                unit=_unit(sheet, said, numbers),
                channel=label,
            ),
            numbers,
        )
        for (index, said, numbers), label in zip(single, labels, strict=True)
    )


_Found = tuple[int, Meaning, tuple[tuple[Written, int], ...]]


def _in_one_unit(found: list[_Found]) -> list[_Found]:
    in_celsius = {
        said.label
        for _, said, _ in found
        if said.role is Role.TEMPERATURE and said.unit is Unit.C
    }
    return [
        (index, said, numbers)
        for index, said, numbers in found
        if not (
            said.role is Role.TEMPERATURE
            and said.unit is Unit.F
            and said.label in in_celsius
        )
    ]


def _channels(sheet: Sheet, found: list[_Found]) -> list[str]:
    """Return a channel's name for each column; empty when there is only one."""
    roles = Counter(said.role for _, said, _ in found)
    if all(count == 1 for count in roles.values()):
        return ["" for _ in found]
    pairs = Counter((said.role, said.label) for _, said, _ in found)
    return [
        said.label
        if said.label and pairs[said.role, said.label] == 1
        else sheet.label(index)
        for index, said, _ in found
    ]


def _unit(
    sheet: Sheet, said: Meaning, numbers: tuple[tuple[Written, int], ...]
) -> Unit | None:
    """Return a column's unit: as headed, as written behind its numbers, as titled."""
    behind = {written.unit for written, _ in numbers} - {None}
    if said.role is Role.HUMIDITY:
        return _humidity_unit(said, numbers)
    if said.unit or said.role is not Role.TEMPERATURE:
        return said.unit
    if len(behind) == 1:
        return behind.pop()
    return _titled_unit(sheet)


def _humidity_unit(
    said: Meaning, numbers: tuple[tuple[Written, int], ...]
) -> Unit | None:
    """Return %, unless every number is a fraction at most: then it is asked for."""
    headed = said.unit or any(written.unit for written, _ in numbers)
    highest = max((written.value for written, _ in numbers), default=Decimal(0))
    return None if not headed and 0 < highest <= 1 else Unit.PERCENT


def _titled_unit(sheet: Sheet) -> Unit | None:
    units = {
        temperature_unit(line)
        for line in sheet.preamble
        if set(tokens(line)) & UNIT_WORDS
    } - {None}
    return units.pop() if len(units) == 1 else None


def find_channel_column(sheet: Sheet, *, taken: tuple[int, ...]) -> int | None:
    """Return the column that says which instrument a row is of, if rows differ in it.

    Args:
        sheet: the file.
        taken: columns that are something else.
    """
    for index, heading in enumerate(sheet.header):
        if meaning(heading).role is not Role.CHANNEL or index in taken:
            continue
        names = {cell for cell in sheet.column(index) if cell}
        decimals = any(
            "." in name and name.replace(".", "").isdecimal() for name in names
        )
        if 1 < len(names) <= MOST_CHANNELS and not decimals:
            return index
    return None


def quantity_columns(sheet: Sheet, *, taken: tuple[int, ...]) -> tuple[str, ...]:
    """Return the headings of all columns that hold numbers, to choose among."""
    return tuple(
        sheet.label(index)
        for index in range(sheet.width)
        if index not in taken
        and numbers_in(sheet.column(index), sentinels=DEFAULT_SENTINELS)
    )
