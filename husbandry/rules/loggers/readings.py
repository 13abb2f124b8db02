"""From a sheet and its mapping to readings, with a reason for each refused row."""

from collections import Counter
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from husbandry.rules.loggers.instants import RowInstants, read_instants
from husbandry.rules.loggers.mapping import Mapping
from husbandry.rules.loggers.remarks import Note, Refusal, note_of
from husbandry.rules.loggers.sentences import refusal_sentence
from husbandry.rules.loggers.series import Readings, Series, collect
from husbandry.rules.loggers.sheet import Sheet
from husbandry.rules.loggers.trust import (
    UntrustedFileError,
    check_decimals,
    check_share_refused,
)
from husbandry.rules.loggers.values import RowValues, read_values
from husbandry.rules.loggers.vocabulary import Noted, Refused, Untrusted, facts
from husbandry.rules.loggers.zones import SITE

Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Parsed:
    """What a file came to. Every row is read, refused, an event or without a value."""

    channels: tuple[Readings, ...]
    refused: tuple[Refusal, ...]
    """In the order of the file."""
    notes: tuple[Note, ...]
    rows_read: int
    rows_used: int
    """Rows that gave a reading, or repeated one."""
    rows_refused: int
    """Rows that gave nothing because of a refusal."""
    rows_events: int
    rows_without_value: int

    @property
    def readings(self) -> int:
        """Return how many readings there are in all channels."""
        return sum(channel.at.size for channel in self.channels)


def parse_readings(
    sheet: Sheet,
    mapping: Mapping,
    *,
    site_zone: ZoneInfo,
    until: datetime,
    starts_on: date | None = None,
) -> Parsed:
    """Read every row of a file as its mapping says.

    Args:
        sheet: the file.
        mapping: decided in every part.
        site_zone: the zone of the mapping's `site`.
        until: the present, aware; stamps more than five minutes later are refused.
        starts_on: the local day of the first row, for files with times only; None
            when nobody was asked.

    Returns:
        Readings by channel in thousandths, sorted by instant, each with the line it
        came from; refusals and notes with line numbers. A refused value does not
        take the other values of its row with it. The order of rows does not matter,
        except for an hour that the change from summer time brings twice.

    Raises:
        UntrustedFileError: when the mapping is undecided or does not fit, decimals
            are lost, more than half of the rows or of a column is refused, stamps
            stand still, or there are no readings at all.

    Source:
        House rule, no source; see ADR 0009.
    """
    _check_mapping(sheet, mapping)
    values = read_values(sheet, mapping)
    check_decimals(values.numbers)
    alive = values.has_number & ~values.misshapen
    instants = read_instants(
        sheet,
        mapping,
        usable=~(values.event | values.misshapen),
        site_zone=site_zone,
        until=until,
        starts_on=starts_on,
    )
    series = collect(sheet, mapping, values, instants, alive=alive)
    refused = _refusals(values, instants, series, alive)
    parsed = Parsed(
        channels=series.channels,
        refused=refused,
        notes=_notes(sheet, mapping, values, instants, series),
        rows_read=len(sheet.rows),
        rows_used=int(series.used.sum()),
        rows_refused=int((values.attempted & ~series.used).sum()),
        rows_events=int(values.event.sum()),
        rows_without_value=int((~values.attempted & ~values.event).sum()),
    )
    _check_outcome(parsed, values)
    return parsed


def _check_mapping(sheet: Sheet, mapping: Mapping) -> None:
    if not mapping.values:
        raise UntrustedFileError(Untrusted.NO_QUANTITY)
    if mapping.undecided:
        named = facts(parts=", ".join(mapping.undecided))
        raise UntrustedFileError(Untrusted.MAPPING_UNDECIDED, named)
    used = [column.index for column in mapping.values]
    used += [*mapping.stamp_columns]
    used += [] if mapping.channel_column is None else [mapping.channel_column]
    moved = [
        column.name
        for column in mapping.values
        if column.index < sheet.width and sheet.label(column.index) != column.name
    ]
    if max(used) >= sheet.width or moved:
        named = facts(column=", ".join(moved) or max(used) + 1, columns=sheet.width)
        raise UntrustedFileError(Untrusted.MAPPING_NOT_FITTING, named)


def _refusals(
    values: RowValues, instants: RowInstants, series: Series, alive: Flags
) -> tuple[Refusal, ...]:
    at_stamp = [refusal for row, refusal in instants.refused.items() if alive[row]]
    found = [*values.refused, *at_stamp, *series.refused]
    return tuple(sorted(found, key=lambda refusal: (refusal.line, refusal.column)))


def _notes(
    sheet: Sheet,
    mapping: Mapping,
    values: RowValues,
    instants: RowInstants,
    series: Series,
) -> tuple[Note, ...]:
    lines = sheet.lines
    notes = [*values.notes, *series.notes]
    filled = [lines[row] for row in instants.filled if series.used[row]]
    notes.append(note_of(Noted.MIDNIGHT_FILLED, filled))
    resolved = [lines[row] for row in instants.resolved if series.used[row]]
    notes.append(note_of(Noted.HOUR_TWICE_RESOLVED, resolved))
    if mapping.zone == SITE and instants.without_offset:
        notes.append(Note(Noted.SITE_ZONE_ASSUMED, instants.without_offset, (), ()))
    return tuple(note for note in notes if note.count)


def _check_outcome(parsed: Parsed, values: RowValues) -> None:
    """Refuse the whole file when too little of it could be read."""
    rows = parsed.rows_used + parsed.rows_refused
    check_share_refused(
        refused=parsed.rows_refused,
        of=rows,
        example=_commonest(parsed.refused),
        where="",
    )
    for column in values.shares:
        of_column = tuple(r for r in parsed.refused if r.column == column.name)
        check_share_refused(
            refused=column.refused,
            of=column.filled,
            example=_commonest(of_column),
            where=column.name,
        )
    if not parsed.readings:
        raise UntrustedFileError(Untrusted.NO_READINGS, facts(rows=parsed.rows_read))


def _commonest(refused: tuple[Refusal, ...]) -> str:
    """Return the sentence of the first refusal with the commonest reason."""
    counts: Counter[Refused] = Counter(refusal.reason for refusal in refused)
    if not counts:
        return ""
    reason = counts.most_common(1)[0][0]
    return refusal_sentence(next(r for r in refused if r.reason is reason))
