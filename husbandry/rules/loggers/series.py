"""Readings by channel: sorted, duplicates joined, contradictions refused."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np
from numpy.typing import NDArray

from husbandry.rules.loggers.instants import RowInstants
from husbandry.rules.loggers.mapping import Mapping
from husbandry.rules.loggers.remarks import Note, Refusal, note_of
from husbandry.rules.loggers.sheet import Sheet
from husbandry.rules.loggers.stamps import Ints
from husbandry.rules.loggers.trust import check_advancing
from husbandry.rules.loggers.values import Milli, RowValues
from husbandry.rules.loggers.vocabulary import MISSING, Noted, Refused, facts
from husbandry.rules.vocabulary import Quantity

Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Readings:
    """One channel's readings, sorted by instant, each instant once."""

    channel: str
    at: Ints
    """Epoch seconds."""
    temperature_milli_c: Milli
    humidity_milli_pct: Milli
    uv_index_milli: Milli
    line: Ints
    """The line of the file that each came from (the first, if several agree)."""


@dataclass(frozen=True, slots=True, eq=False)
class Series:
    """All channels, and which rows went into them."""

    channels: tuple[Readings, ...]
    used: Flags
    refused: tuple[Refusal, ...]
    notes: tuple[Note, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Part:
    """One channel's rows in the order of the file, a column for each quantity."""

    channel: str
    rows: Ints
    values: NDArray[np.int32]
    """(rows, 3): temperature, humidity, UV index."""


@dataclass(frozen=True, slots=True, eq=False)
class _Joined:
    readings: Readings
    used: Ints
    refused: list[Refusal]
    duplicates: list[int]
    steps_back: int


def collect(
    sheet: Sheet,
    mapping: Mapping,
    values: RowValues,
    instants: RowInstants,
    *,
    alive: Flags,
) -> Series:
    """Return the readings of each channel.

    Rows of one instant that agree, or complete each other, are one reading. Rows of
    one instant that contradict each other are all refused, naming the lines.

    Args:
        sheet: the file.
        mapping: decided.
        values: its numbers.
        instants: its instants.
        alive: rows with a number.

    Raises:
        UntrustedFileError: not_advancing.
    """
    nameless = _without_channel(sheet, mapping, alive & instants.valid)
    joined = []
    for part in _parts(sheet, mapping, values):
        rows = alive[part.rows] & instants.valid[part.rows]
        has_value = (part.values != MISSING).any(axis=1)
        kept = _Part(
            part.channel, part.rows[rows & has_value], part.values[rows & has_value]
        )
        joined.append(_join(sheet, kept, instants.at))
    used = np.zeros(len(sheet.rows), dtype=bool)
    for one in joined:
        used[one.used] = True
    duplicates = sorted(line for one in joined for line in one.duplicates)
    unsorted = sum(one.steps_back for one in joined)
    return Series(
        channels=tuple(one.readings for one in joined if one.readings.at.size),
        used=used,
        refused=(*nameless, *(r for one in joined for r in one.refused)),
        notes=(
            note_of(Noted.DUPLICATE, duplicates),
            Note(Noted.UNSORTED, unsorted, (), ()),
        ),
    )


def _without_channel(sheet: Sheet, mapping: Mapping, rows: Flags) -> list[Refusal]:
    if mapping.channel_column is None:
        return []
    cells = sheet.column(mapping.channel_column)
    name = sheet.label(mapping.channel_column)
    return [
        Refusal(sheet.lines[row], "", "", Refused.CHANNEL_MISSING, facts(column=name))
        for row in np.flatnonzero(rows).tolist()
        if not cells[row]
    ]


def _parts(sheet: Sheet, mapping: Mapping, values: RowValues) -> Iterator[_Part]:
    """Yield each channel: a group of columns, or of rows that name it."""
    rows = np.arange(len(sheet.rows), dtype=np.int64)
    if mapping.channel_column is None:
        for channel in dict.fromkeys(column.channel for column in mapping.values):
            yield _Part(channel, rows, _three_columns(mapping, values, channel))
        return
    names = np.array(sheet.column(mapping.channel_column), dtype=object)
    three = _three_columns(mapping, values, mapping.values[0].channel)
    for name in dict.fromkeys(names.tolist()):
        if name:
            yield _Part(name, rows[names == name], three[names == name])


def _three_columns(
    mapping: Mapping, values: RowValues, channel: str
) -> NDArray[np.int32]:
    count = values.has_number.size
    three = np.full((count, len(Quantity)), MISSING, dtype=np.int32)
    for column, milli in zip(mapping.values, values.milli, strict=True):
        if column.channel == channel:
            three[:, list(Quantity).index(column.quantity)] = milli
    return three


def _join(sheet: Sheet, part: _Part, all_at: Ints) -> _Joined:
    at = all_at[part.rows]
    steps = np.diff(at)
    steps_back = int(min((steps < 0).sum(), (steps > 0).sum()))
    order = np.argsort(at, kind="stable")
    at, rows, values = at[order], part.rows[order], part.values[order].copy()
    first = np.ones(at.size, dtype=bool)
    first[1:] = at[1:] != at[:-1]
    starts = np.flatnonzero(first)
    sizes = np.diff(np.append(starts, at.size))
    keep = first.copy()
    contradicting = np.zeros(at.size, dtype=bool)
    duplicates: list[int] = []
    for start, size in zip(
        starts[sizes > 1].tolist(), sizes[sizes > 1].tolist(), strict=True
    ):
        group = slice(start, start + size)
        merged = _merged(values[group])
        if merged is None:
            contradicting[group] = True
            keep[start] = False
        else:
            values[start] = merged
            duplicates += [sheet.lines[row] for row in rows[start + 1 : start + size]]
    if at.size:
        repeated = at[starts[np.argmax(sizes)]]
        check_advancing(
            rows=at.size,
            instants=starts.size,
            conflicting=int(contradicting.sum()),
            stamp=f"{datetime.fromtimestamp(int(repeated), tz=UTC):%Y-%m-%d %H:%M:%S} UTC",
        )
    lines = np.array(sheet.lines, dtype=np.int64)[rows]
    three = values[keep]
    readings = Readings(
        channel=part.channel,
        at=at[keep],
        temperature_milli_c=three[:, 0].copy(),
        humidity_milli_pct=three[:, 1].copy(),
        uv_index_milli=three[:, 2].copy(),
        line=lines[keep],
    )
    refused = _contradictions(part.channel, at, lines, values, contradicting)
    return _Joined(readings, rows[~contradicting], refused, duplicates, steps_back)


def _merged(values: NDArray[np.int32]) -> NDArray[np.int32] | None:
    """Return the one row that rows of one instant make, or None if they disagree."""
    top = values.max(axis=0)
    # MISSING is the smallest number there is, so the largest is the one said.
    agrees = (values == top) | (values == MISSING)
    return top if agrees.all() else None


def _contradictions(
    channel: str,
    at: Ints,
    lines: Ints,
    values: NDArray[np.int32],
    contradicting: Flags,
) -> list[Refusal]:
    refused = []
    for place in np.flatnonzero(contradicting).tolist():
        left, right = (
            np.searchsorted(at, at[place], "left"),
            np.searchsorted(at, at[place], "right"),
        )
        same = lines[left:right].tolist()
        said = [v / 1000 for v in values[place].tolist() if v != MISSING]
        named = facts(lines=", ".join(map(str, same)), channel=channel)
        refused.append(
            Refusal(
                int(lines[place]),
                "",
                " / ".join(f"{value:g}" for value in said),
                Refused.CONFLICTING,
                named,
            )
        )
    return refused
