"""Write what the demo's probes recorded as the files that loggers would write."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np

from demo.dialects import DIALECTS, Dialect, Layout
from demo.instruments import Series, is_silent
from husbandry.rules.vocabulary import Quantity

Row = Sequence[str]


def write_files(
    series: Sequence[Series], *, dialects: dict[str, str], zone: ZoneInfo, folder: Path
) -> list[Path]:
    """Write every logger's file.

    Args:
        series: what the probes recorded; each names its file. The probes of one file
            record at the same instants.
        dialects: the dialect of each file, by the file's name.
        zone: of the site, whose clock the loggers show.
        folder: where to; it must exist. Files of these names are written over.

    Returns:
        The files, in the order in which `dialects` names them.
    """
    paths = []
    for name, dialect in dialects.items():
        path = folder / name
        inside = [one for one in series if one.probe.file == name]
        path.write_bytes(render(inside, dialect=DIALECTS[dialect], zone=zone))
        paths.append(path)
    return paths


def render(series: Sequence[Series], *, dialect: Dialect, zone: ZoneInfo) -> bytes:
    """Return a file's bytes: its title lines, headings and rows."""
    body = _wide(series, dialect, zone)
    if dialect.layout is Layout.LONG:
        body = _long(series, dialect, zone)
    lines = [*dialect.titles, *(dialect.delimiter.join(row) for row in body), ""]
    return dialect.newline.join(lines).encode(dialect.encoding)


def _wide(series: Sequence[Series], dialect: Dialect, zone: ZoneInfo) -> Iterator[Row]:
    named = [
        f"{one.probe.channel} {dialect.headings[quantity]}"
        for one in series
        for quantity in one.values
    ]
    yield [*dialect.stamp_headings, *named]
    columns = [cells for one in series for cells in _cells(one, dialect)]
    silent = np.all([is_silent(one) for one in series], axis=0)
    for stamp, is_empty, *cells in zip(
        _stamps(series[0], dialect, zone), silent, *columns, strict=True
    ):
        if not is_empty:
            yield [*stamp, *cells]


def _long(series: Sequence[Series], dialect: Dialect, zone: ZoneInfo) -> Iterator[Row]:
    shown = [q for q in Quantity if any(q in one.values for one in series)]
    headings = [dialect.headings[quantity] for quantity in shown]
    yield [*dialect.stamp_headings, dialect.channel_heading, *headings]
    tables = []
    for one in series:
        blank = [dialect.missing] * len(one.at_s)
        found = dict(zip(one.values, _cells(one, dialect), strict=True))
        columns = [found.get(quantity, blank) for quantity in shown]
        tables.append((one, is_silent(one), list(zip(*columns, strict=True))))
    for place, stamp in enumerate(_stamps(series[0], dialect, zone)):
        for one, silent, rows in tables:
            if not silent[place]:
                yield [*stamp, one.probe.channel, *rows[place]]


def _stamps(one: Series, dialect: Dialect, zone: ZoneInfo) -> Iterator[tuple[str, ...]]:
    for at_s in one.at_s.tolist():
        yield dialect.stamp(datetime.fromtimestamp(at_s, tz=zone))


def _cells(one: Series, dialect: Dialect) -> Iterator[list[str]]:
    """Return the texts of each quantity of a probe, column by column."""
    for quantity, values in one.values.items():
        scaled = values
        if quantity is Quantity.TEMPERATURE_C and dialect.fahrenheit:
            scaled = values * 9 / 5 + 32
        places = dialect.decimals[quantity]
        yield [_text(number, places, dialect) for number in scaled.tolist()]


def _text(number: float, places: int, dialect: Dialect) -> str:
    if np.isnan(number):
        return dialect.missing
    # Adding zero turns −0.0, which no logger shows, into 0.0.
    return f"{number + 0.0:.{places}f}".replace(".", dialect.decimal_mark)
