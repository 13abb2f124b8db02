"""In what dialects the demo's invented loggers write, one row of the table each."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from husbandry.rules.vocabulary import Quantity


class Layout(StrEnum):
    """How the instruments of one file share it."""

    WIDE = "wide"
    """One row an instant, columns for every instrument."""
    LONG = "long"
    """One row an instant and instrument, which a column names."""


def german(moment: datetime) -> tuple[str, ...]:
    """Return `17.03.2027`, `08:05`."""
    return f"{moment:%d.%m.%Y}", f"{moment:%H:%M}"


def american(moment: datetime) -> tuple[str, ...]:
    """Return `3/17/2027`, `8:05:00 AM`."""
    half = "AM" if moment.hour < 12 else "PM"
    clock = f"{moment.hour % 12 or 12}:{moment:%M:%S} {half}"
    return f"{moment.month}/{moment.day}/{moment.year}", clock


def iso(moment: datetime) -> tuple[str, ...]:
    """Return `2027-03-17T08:05:00+00:00`, the offset that of the site."""
    return (moment.isoformat(timespec="seconds"),)


def plain(moment: datetime) -> tuple[str, ...]:
    """Return `2027-03-17 08:05:00`."""
    return (f"{moment:%Y-%m-%d %H:%M:%S}",)


def slashed(moment: datetime) -> tuple[str, ...]:
    """Return `17/03/2027 08:05`."""
    return (f"{moment:%d/%m/%Y %H:%M}",)


@dataclass(frozen=True, slots=True)
class Dialect:
    """How one make of logger writes its files.

    Attributes:
        stamp_headings: as many as `stamp` returns texts.
        channel_heading: of the column that names the instrument, in long files.
        headings: what a column of each quantity is called.
        decimals: written after the decimal mark, for each quantity.
        missing: stands where nothing was measured.
        titles: lines above the headings.
    """

    layout: Layout
    encoding: str
    newline: str
    delimiter: str
    decimal_mark: str
    stamp: Callable[[datetime], tuple[str, ...]]
    stamp_headings: tuple[str, ...]
    headings: Mapping[Quantity, str]
    decimals: Mapping[Quantity, int]
    channel_heading: str = ""
    fahrenheit: bool = False
    missing: str = ""
    titles: tuple[str, ...] = ()


T, H, U = Quantity.TEMPERATURE_C, Quantity.HUMIDITY_PCT, Quantity.UV_INDEX
ONE_DECIMAL = {T: 1, H: 1, U: 1}

DIALECTS = {
    "german": Dialect(
        layout=Layout.WIDE,
        encoding="cp1252",
        newline="\r\n",
        delimiter=";",
        decimal_mark=",",
        stamp=german,
        stamp_headings=("Datum", "Uhrzeit"),
        headings={T: "Temperatur (°C)", H: "rel. Luftfeuchte (%)", U: "UV-Index"},
        decimals=ONE_DECIMAL,
    ),
    "american": Dialect(
        layout=Layout.WIDE,
        encoding="utf-8-sig",
        newline="\r\n",
        delimiter=",",
        decimal_mark=".",
        stamp=american,
        stamp_headings=("Date", "Time"),
        headings={T: "Temperature (°F)", H: "Humidity (%RH)", U: "UV Index"},
        decimals={T: 2, H: 1, U: 1},
        fahrenheit=True,
    ),
    "iso": Dialect(
        layout=Layout.WIDE,
        encoding="utf-8",
        newline="\n",
        delimiter=",",
        decimal_mark=".",
        stamp=iso,
        stamp_headings=("timestamp",),
        headings={T: "temp_c", H: "RH %", U: "uvi"},
        decimals=ONE_DECIMAL,
    ),
    "rack": Dialect(
        layout=Layout.WIDE,
        encoding="utf-8-sig",
        newline="\r\n",
        delimiter=",",
        decimal_mark=".",
        stamp=plain,
        stamp_headings=("Date Time",),
        headings={T: "Temp (°C)", H: "RH (%)", U: "UVI"},
        decimals=ONE_DECIMAL,
        missing="-200",
    ),
    "tabbed": Dialect(
        layout=Layout.LONG,
        encoding="utf-8",
        newline="\n",
        delimiter="\t",
        decimal_mark=".",
        stamp=slashed,
        stamp_headings=("Date/Time (dd/mm/yyyy)",),
        headings={T: "Temperature °C", H: "Humidity %", U: "UV index"},
        decimals=ONE_DECIMAL,
        channel_heading="Sensor",
        missing="---",
        titles=("Recorder export", "Place: arrivals room", ""),
    ),
}
