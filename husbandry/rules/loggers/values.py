"""The numbers of a sheet's rows: each different cell is read once."""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from husbandry.rules.loggers.headers import QUANTITIES, Role, meaning
from husbandry.rules.loggers.mapping import Mapping, ValueColumn
from husbandry.rules.loggers.numbers import RANGE_MILLI, CellRule, Outcome
from husbandry.rules.loggers.remarks import Note, Refusal, note_of
from husbandry.rules.loggers.sheet import Sheet
from husbandry.rules.loggers.stamps import read_stamp
from husbandry.rules.loggers.trust import ColumnNumbers, UntrustedFileError
from husbandry.rules.loggers.vocabulary import (
    MISSING,
    Facts,
    Noted,
    Refused,
    Unit,
    Untrusted,
    facts,
)

Flags = NDArray[np.bool_]
Milli = NDArray[np.int32]


@dataclass(frozen=True, slots=True)
class ColumnShare:
    """How much of one column is refused."""

    name: str
    refused: int
    filled: int


@dataclass(frozen=True, slots=True, eq=False)
class RowValues:
    """The mapped columns as thousandths, and what the rows are."""

    milli: tuple[Milli, ...]
    """One array a value column, in the mapping's order."""
    has_number: Flags
    event: Flags
    misshapen: Flags
    """More or fewer cells than there are columns."""
    attempted: Flags
    """Rows that meant to say a value: with a number or with a refused one."""
    refused: tuple[Refusal, ...]
    notes: tuple[Note, ...]
    numbers: tuple[ColumnNumbers, ...]
    shares: tuple[ColumnShare, ...]


class _Outcomes(dict[str, int]):
    """Numbers the different cells of a column as they are met, reading each once."""

    def __init__(self, read: Callable[[str], Outcome]) -> None:
        super().__init__()
        self.read = read
        self.outcomes: list[Outcome] = []

    def __missing__(self, cell: str) -> int:
        self.outcomes.append(self.read(cell))
        self[cell] = number = len(self.outcomes) - 1
        return number


@dataclass(frozen=True, slots=True, eq=False)
class _Column:
    column: ValueColumn
    cells: list[str]
    outcomes: list[Outcome]
    of_row: NDArray[np.int64]

    def flags(self, test: Callable[[Outcome], bool]) -> Flags:
        """Return for each row whether its outcome passes a test."""
        return np.array([test(o) for o in self.outcomes], dtype=bool)[self.of_row]

    @property
    def milli(self) -> Milli:
        """Return each row's thousandths."""
        return np.array([o.milli for o in self.outcomes], dtype=np.int32)[self.of_row]


def read_values(sheet: Sheet, mapping: Mapping) -> RowValues:
    """Read the value columns of a sheet.

    A row whose value cells hold words and no number is an event. A row that is wider
    than the headings, or ends before a value column, is misshapen.

    Args:
        sheet: at least one row.
        mapping: decided, fitting the sheet.

    Raises:
        UntrustedFileError: header_changes, when a later row is a different heading.
    """
    columns = [_read_column(sheet, mapping, column) for column in mapping.values]
    has_number = _any(columns, lambda o: o.milli != MISSING)
    words = _any(columns, lambda o: o.event)
    refused_cells = _any(columns, lambda o: o.refused is not None and not o.event)
    misshapen, problems = _misshapen(sheet, mapping)
    event = words & ~has_number & ~refused_cells
    _check_headings(sheet, event)
    misshapen &= ~event
    attempted = (has_number | refused_cells) & ~event
    readable = ~event & ~misshapen
    refused = [
        refusal
        for column in columns
        for refusal in _refused_cells(sheet, column, readable)
    ]
    shaped = [problems[int(row)] for row in np.flatnonzero(misshapen & attempted)]
    return RowValues(
        milli=tuple(column.milli for column in columns),
        has_number=has_number & ~event,
        event=event,
        misshapen=misshapen,
        attempted=attempted,
        refused=(*refused, *shaped),
        notes=_notes(sheet, columns, event, attempted),
        numbers=tuple(_numbers(column) for column in columns),
        shares=tuple(_share(column, readable) for column in columns),
    )


def _read_column(sheet: Sheet, mapping: Mapping, column: ValueColumn) -> _Column:
    if column.unit is None:
        raise UntrustedFileError(Untrusted.MAPPING_UNDECIDED, facts(parts="unit"))
    rule = CellRule(
        column.quantity,
        column.unit,
        mapping.decimal_mark,
        frozenset(Decimal(number) for number in mapping.sentinels),
    )
    cells = sheet.column(column.index)
    memory = _Outcomes(rule.read)
    of_row = np.fromiter(map(memory.__getitem__, cells), np.int64, count=len(cells))
    return _Column(column, cells, memory.outcomes, of_row)


def _any(columns: list[_Column], test: Callable[[Outcome], bool]) -> Flags:
    found: Flags = np.logical_or.reduce([column.flags(test) for column in columns])
    return found


def _misshapen(sheet: Sheet, mapping: Mapping) -> tuple[Flags, dict[int, Refusal]]:
    needed = max(column.index for column in mapping.values) + 1
    problems: dict[int, Refusal] = {}
    for row, cells in enumerate(sheet.rows):
        wide = len(cells) > sheet.width and any(cells[sheet.width :])
        if wide or len(cells) < needed:
            reason = Refused.TOO_MANY_FIELDS if wide else Refused.TOO_FEW_FIELDS
            problems[row] = Refusal(
                sheet.lines[row],
                "",
                " ".join(cells)[:120],
                reason,
                facts(fields=len(cells), needed=needed, headings=sheet.width),
            )
    flags = np.zeros(len(sheet.rows), dtype=bool)
    flags[list(problems)] = True
    return flags, problems


def _check_headings(sheet: Sheet, event: Flags) -> None:
    """Refuse a file in which other headings begin half-way: its columns change."""
    own = _said(sheet.header)
    for row in np.flatnonzero(event).tolist():
        cells = sheet.rows[row]
        said = _said(cells)
        is_heading = any(role in QUANTITIES for role, _ in said) and not any(
            read_stamp(cell) for cell in cells
        )
        if is_heading and len(said) > 1 and said != own:
            named = facts(line=sheet.lines[row], value=" ".join(cells)[:120])
            raise UntrustedFileError(Untrusted.HEADER_CHANGES, named)


def _said(cells: tuple[str, ...]) -> tuple[tuple[Role, str], ...]:
    meanings = [meaning(cell) for cell in cells if cell]
    return tuple((said.role, said.label) for said in meanings if said.is_known)


def _refused_cells(sheet: Sheet, column: _Column, readable: Flags) -> list[Refusal]:
    flags = column.flags(lambda o: o.refused is not None) & readable
    accepted = _accepted(column.column)
    return [
        Refusal(
            sheet.lines[row],
            column.column.name,
            column.cells[row],
            column.outcomes[column.of_row[row]].refused or Refused.NOT_A_NUMBER,
            accepted,
        )
        for row in np.flatnonzero(flags).tolist()
    ]


def _accepted(column: ValueColumn) -> Facts:
    low, high = RANGE_MILLI[column.quantity]
    if column.unit is Unit.F:
        low, high = (limit * 9 // 5 + 32_000 for limit in (low, high))
    scale = 100_000 if column.unit is Unit.FRACTION else 1000
    unit = {Unit.C: "°C", Unit.F: "°F", Unit.PERCENT: "%"}.get(
        column.unit or Unit.INDEX, ""
    )
    return facts(low=f"{low / scale:g}", high=f"{high / scale:g}", unit=unit)


def _notes(
    sheet: Sheet, columns: list[_Column], event: Flags, attempted: Flags
) -> tuple[Note, ...]:
    lines = np.array(sheet.lines, dtype=np.int64)
    texts = Counter(
        " ".join(filter(None, sheet.rows[int(row)]))[:120]
        for row in np.flatnonzero(event)
    )
    first = next(iter(texts), "")
    notes = [
        note_of(Noted.EVENT, lines[event].tolist(), facts(value=first)),
        note_of(Noted.NO_VALUE, lines[~event & ~attempted].tolist()),
    ]
    for column in columns:
        name = column.column.name
        missing = column.flags(lambda o: o.noted is Noted.MARKED_MISSING) & ~event
        if missing.any():
            example = column.cells[int(np.argmax(missing))]
            named = facts(column=name, value=example)
            notes.append(note_of(Noted.MARKED_MISSING, lines[missing].tolist(), named))
        capped = column.flags(lambda o: o.noted is Noted.HUMIDITY_CAPPED)
        if capped.any():
            named = facts(column=name, value=column.cells[int(np.argmax(capped))])
            notes.append(note_of(Noted.HUMIDITY_CAPPED, lines[capped].tolist(), named))
    return tuple(notes)


def _numbers(column: _Column) -> ColumnNumbers:
    rows = np.bincount(column.of_row, minlength=len(column.outcomes))
    unit = column.column.unit or Unit.C
    return ColumnNumbers(
        column.column.name,
        column.column.quantity,
        unit,
        tuple(
            (outcome.written.value, bool(outcome.written.mark), int(count))
            for outcome, count in zip(column.outcomes, rows, strict=True)
            if outcome.written is not None
        ),
    )


def _share(column: _Column, readable: Flags) -> ColumnShare:
    refused = column.flags(lambda o: o.refused is not None) & readable
    numbers = column.flags(lambda o: o.milli != MISSING) & readable
    return ColumnShare(
        column.column.name, int(refused.sum()), int((refused | numbers).sum())
    )
