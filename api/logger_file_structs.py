"""What is asked and told about logger files."""

from datetime import date
from typing import Annotated, Any

import msgspec
from msgspec import Meta

from api.inputs import unreadable
from api.structs import Asked as Parameters
from api.structs import Instant, Out
from husbandry.models import Probe, ReadingImport
from husbandry.queries.logger_files import probes_by_code
from husbandry.rules.import_answers import Answers
from husbandry.rules.loggers.vocabulary import Asked, DayOrder, Unit
from husbandry.rules.vocabulary import Quantity

CHANNELS = 'a JSON object as {"Ch1": "P-001", "Ch2": null}'
COLUMNS = 'a JSON object as {"Temp": "temperature_c"}'


class LoggerFileAsked(Parameters, frozen=True, kw_only=True):
    """Whose the file is, and what it does not say itself."""

    probe: Annotated[
        str | None, Meta(description="Code of the probe that wrote it, if one did.")
    ] = None
    channels: Annotated[
        str | None,
        Meta(
            description="Of a file of several: the probe's code by channel, null leaves "
            f"it out; {CHANNELS}."
        ),
    ] = None
    source: Annotated[
        str | None,
        Meta(description="Whose saved mapping to use; see `logger-mappings/`."),
    ] = None
    day_order: Annotated[
        DayOrder | None, Meta(description="Of dates such as 04/05/2026.")
    ] = None
    temperature_unit: Annotated[
        Unit | None, Meta(description="C or F, where the heading names none.")
    ] = None
    humidity_unit: Annotated[
        Unit | None, Meta(description="% or fraction, where the heading names none.")
    ] = None
    zone: Annotated[
        str,
        Meta(description="Of the logger's clock: site, +01:00 or Europe/Lisbon."),
    ] = ""
    starts_on: Annotated[
        date | None, Meta(description="Local day of the first row, for times only.")
    ] = None
    stamp_column: Annotated[
        str, Meta(description="Heading of the column with the instant.")
    ] = ""
    columns: Annotated[
        str | None,
        Meta(description=f"What columns hold that are not recognised; {COLUMNS}."),
    ] = None
    file_name: Annotated[
        str,
        Meta(max_length=200, description="Name of a file that is sent as the body."),
    ] = ""


class ImportAsked(LoggerFileAsked, frozen=True, kw_only=True):
    """The same, and whether to keep how it was read."""

    save_as: Annotated[
        str,
        Meta(
            max_length=80,
            description="Name of the source to keep the mapping for; empty: do not.",
        ),
    ] = ""


class LoggerFileOut(Out, frozen=True):
    """A file of readings that was taken in, or refused whole."""

    about = ReadingImport
    id: int
    file_name: str
    sha256: str
    imported_by: Annotated[str | None, Meta(description="null: the program itself.")]
    imported_at: Instant
    accepted: bool
    rows_read: int
    rows_stored: int
    rows_known: int
    rows_refused: int


class LoggerFileDetail(LoggerFileOut, frozen=True):
    """The same, with what became of its rows."""

    told: Annotated[
        tuple[str, ...], Meta(description="In sentences, the most important first.")
    ]
    report: Annotated[
        dict[str, Any], Meta(description="In counts, with a sentence a refused row.")
    ]


class FileQuestionOut(Out, frozen=True):
    """One thing that a file does not say."""

    asked: Asked
    question: str
    column: Annotated[str, Meta(description="Heading; empty: the whole file.")]
    choices: Annotated[
        tuple[str, ...], Meta(description="Empty: the answer is free, such as a date.")
    ]
    blocking: Annotated[
        bool, Meta(description="false: the first choice is taken if nobody answers.")
    ]
    parameter: Annotated[str, Meta(description="The query parameter that answers it.")]


class LoggerFileTrialOut(Out, frozen=True):
    """How a file would be read; nothing was stored."""

    file_name: str
    rows: int
    headings: tuple[str, ...]
    first_rows: tuple[tuple[str, ...], ...]
    channels: Annotated[
        dict[str, str | None],
        Meta(description="Code of the probe by channel; null: none, or left out."),
    ]
    read_as: Annotated[
        tuple[str, ...], Meta(description="A sentence a column, and one for the clock.")
    ]
    questions: tuple[FileQuestionOut, ...]
    mapping: Annotated[
        dict[str, Any],
        Meta(
            description="As `logger-mappings/` keeps it; whole once nothing is asked."
        ),
    ]


def probe_for(asked: LoggerFileAsked) -> dict[str, Probe | None]:
    """Return which probe each channel belongs to; two queries at most.

    Raises:
        RefusedError: `channels` is no such object.
        UnknownProbeError: a code is on no label.
    """
    codes = _object("channels", asked.channels, dict[str, str | None], CHANNELS)
    if asked.probe is not None:
        codes = {"": asked.probe, **codes}
    known = probes_by_code(codes=[code for code in codes.values() if code is not None])
    return {
        channel: None if code is None else known[code]
        for channel, code in codes.items()
    }


def answers(asked: LoggerFileAsked) -> Answers:
    """Return what was said about a file.

    Raises:
        RefusedError: `columns` is no such object.
    """
    columns = _object("columns", asked.columns, dict[str, Quantity], COLUMNS)
    units = (asked.temperature_unit, asked.humidity_unit)
    return Answers(
        day_order=asked.day_order,
        units=tuple(unit for unit in units if unit is not None),
        zone=asked.zone,
        starts_on=asked.starts_on,
        stamp_column=asked.stamp_column,
        quantities=tuple(columns.items()),
    )


def _object(name: str, text: str | None, wanted: type[Any], accepted: str) -> Any:
    if text is None:
        return {}
    try:
        found = msgspec.json.decode(text, type=wanted)
    except (msgspec.DecodeError, RecursionError) as error:
        raise unreadable(name, text, accepted) from error
    # A database may trip on U+0000; no code and no heading holds it.
    if r"\u0000" in text:
        raise unreadable(name, text, accepted)
    return found
