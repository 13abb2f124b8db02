"""A logger's file out of a home, read as the house reads its own loggers' files."""

from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np

from core.errors import DomainError
from husbandry.rules.import_answers import (
    Answers,
    FileUndecidedError,
    apply_answers,
    still_open,
)
from husbandry.rules.loggers.mapping import Mapping
from husbandry.rules.loggers.proposals import propose_mapping
from husbandry.rules.loggers.questions import channels_of
from husbandry.rules.loggers.readings import Parsed, parse_readings
from husbandry.rules.loggers.sentences import note_sentence, refusal_sentence
from husbandry.rules.loggers.sheet import read_sheet
from husbandry.rules.loggers.vocabulary import MISSING
from husbandry.rules.readings import QUANTITIES
from husbandry.rules.vocabulary import Quantity

LARGEST_FILE_BYTES = 5_000_000
LONGEST_NAME = 120
MOST_TOLD = 20


class HomeFileError(DomainError):
    """A file that a home cannot hand in."""

    code = "home_file"


@dataclass(frozen=True, slots=True)
class MeasuredRow:
    """One value of a file."""

    quantity: Quantity
    at_s: int
    milli: int


@dataclass(frozen=True, slots=True)
class HomeFile:
    """What a file came to.

    Attributes:
        name: as it may be shown and kept.
        rows: its values, in order of time.
        too_old: how many lie before the days that are looked at.
        told: sentences about what was refused or supposed, the first ones.
    """

    name: str
    rows: tuple[MeasuredRow, ...]
    rows_read: int
    rows_refused: int
    too_old: int
    told: tuple[str, ...]


def read_home_file(
    data: bytes,
    *,
    file_name: str,
    channel: str,
    answers: Answers,
    clock: ZoneInfo,
    since_s: int,
    until: datetime,
) -> HomeFile:
    """Read a file whose values were all measured at one spot.

    Args:
        data: the file; what it is, is told by its content.
        file_name: as sent; nothing of it is used but to name the file.
        channel: which of the file's instruments hung at the spot; "" if there is one.
        answers: what was said about the file.
        clock: the enclosure's time zone, where the file names none.
        since_s: epoch second; what lies before is counted and left out.
        until: now.

    Returns:
        The values and what became of the rows.

    Raises:
        HomeFileError: too large, or it holds several instruments and none, or a
            strange one, was named.
        FileUndecidedError: with the questions to answer first.
        UntrustedFileError: the file cannot be relied on; nothing of it is taken.
        AnswerUnusableError: an answer does not fit the file.

    Source:
        ADR 0009, by the functions that read the house's own files.
    """
    name = shown_name(file_name)
    _check_size(data, name)
    sheet = read_sheet(data, name=name)
    proposal = propose_mapping(sheet, saved=None)
    mapping = apply_answers(sheet, proposal.mapping, answers)
    channels = channels_of(sheet, mapping)
    questions = still_open(sheet, proposal, mapping, answers, settled_channels=channels)
    if questions:
        raise FileUndecidedError(name, questions)
    chosen = _chosen(name, channel, channels)
    parsed = parse_readings(
        sheet,
        _only(mapping, chosen),
        site_zone=clock,
        until=until,
        starts_on=answers.starts_on,
    )
    rows = _rows(parsed, chosen)
    kept = tuple(row for row in rows if row.at_s >= since_s)
    return HomeFile(
        name=name,
        rows=kept,
        rows_read=parsed.rows_read,
        rows_refused=parsed.rows_refused,
        too_old=len(rows) - len(kept),
        told=_told(parsed),
    )


def shown_name(file_name: str) -> str:
    """Return a file's name without folders or control characters, cut to length.

    Args:
        file_name: as sent by a stranger.

    Returns:
        At most 120 characters; "a file" where nothing is left.
    """
    last = file_name.replace("\\", "/").rpartition("/")[2]
    plain = "".join(c for c in last if c.isprintable()).strip(" .")
    return plain[-LONGEST_NAME:] or "a file"


def _check_size(data: bytes, name: str) -> None:
    if len(data) > LARGEST_FILE_BYTES:
        raise HomeFileError(
            f"{name} has {len(data)} bytes; up to {LARGEST_FILE_BYTES} are taken. "
            "Export a few days, or one value every five minutes.",
            fields={"file": f"Choose a file of up to {LARGEST_FILE_BYTES} bytes."},
        )


def _chosen(name: str, channel: str, channels: tuple[str, ...]) -> str:
    if not channel and len(channels) == 1:
        return channels[0]
    if channel in channels:
        return channel
    named = ", ".join(repr(one) for one in channels)
    raise HomeFileError(
        f"{name} holds the instruments {named}. Say which of them hung at this spot.",
        fields={"channel": f"Give one of {named}."},
    )


def _only(mapping: Mapping, channel: str) -> Mapping:
    if mapping.channel_column is not None:
        return mapping
    return replace(
        mapping, values=tuple(c for c in mapping.values if c.channel == channel)
    )


def _rows(parsed: Parsed, channel: str) -> tuple[MeasuredRow, ...]:
    found: list[MeasuredRow] = []
    for one in parsed.channels:
        if one.channel != channel:
            continue
        columns = (one.temperature_milli_c, one.humidity_milli_pct, one.uv_index_milli)
        for quantity, column in zip(QUANTITIES, columns, strict=True):
            there = np.flatnonzero(column != MISSING)
            pairs = zip(one.at[there].tolist(), column[there].tolist(), strict=True)
            found += [MeasuredRow(quantity, at, milli) for at, milli in pairs]
    return tuple(sorted(found, key=lambda row: (row.at_s, row.quantity)))


def _told(parsed: Parsed) -> tuple[str, ...]:
    refused = [refusal_sentence(one) for one in parsed.refused[:MOST_TOLD]]
    return (*(note_sentence(note) for note in parsed.notes), *refused)
