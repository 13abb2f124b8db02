"""What became of a batch of readings, and why some of it was not taken."""

from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from husbandry.rules.loggers.numbers import RANGE_MILLI
from husbandry.rules.loggers.vocabulary import MISSING
from husbandry.rules.readings import (
    AHEAD_S,
    EARLIEST_S,
    ORDER,
    QUANTITIES,
    Codes,
    ProbesInUse,
    ReadingColumns,
    ReadingRefused,
)
from husbandry.rules.vocabulary import Quantity

MOST_LISTED = 500
"""More refusals than this are counted, and the first ones listed."""

_SPOKEN = {
    Quantity.TEMPERATURE_C: ("temperature", " °C"),
    Quantity.HUMIDITY_PCT: ("humidity", " %"),
    Quantity.UV_INDEX: ("UV index", ""),
}
_SECONDS_WITH_A_DATE = range(-62_135_596_800, 253_402_300_800)

_SENTENCES = {
    ReadingRefused.UNKNOWN_PROBE: "there is no {value}; give {accepted}",
    ReadingRefused.TOO_EARLY: "{value} is before the first possible reading; accepted "
    "is {accepted}: set the logger's clock",
    ReadingRefused.IN_FUTURE: "{value} ahead of this clock; accepted is {accepted}: "
    "look at the logger's clock and time zone",
    ReadingRefused.NOT_IN_USE: "at {value} the probe was not in use; accepted is "
    "{accepted}",
    ReadingRefused.NOTHING_MEASURED: "it holds {value}; give {accepted}",
    ReadingRefused.NOT_MEASURED_BY_PROBE: "{value}, but the probe does not measure "
    "that; accepted is {accepted}",
    ReadingRefused.OUT_OF_RANGE: "{value} is more than an instrument can show; "
    "accepted is {accepted}",
    ReadingRefused.REPEATED_DIFFERENTLY: "{value} comes more than once with different "
    "values; none of them is taken; accepted is {accepted}",
    ReadingRefused.CONFLICTING: "{value}, but {accepted} was stored earlier and stays",
    ReadingRefused.UNCLAIMED_FULL: "{value}; accepted is {accepted}",
}


@dataclass(frozen=True, slots=True)
class RefusedReading:
    """One reading that was not taken."""

    index: int
    """Its place in the batch, counted from 0."""
    code: ReadingRefused
    value: str
    accepted: str

    @property
    def reason(self) -> str:
        """Say which value, why, and what would be accepted; no full stop."""
        return _SENTENCES[self.code].format(value=self.value, accepted=self.accepted)


@dataclass(frozen=True, slots=True)
class StoreReport:
    """What became of each reading of a batch; the counts add up to `received`."""

    received: int
    stored: int
    """New instants."""
    completed: int
    """Instants that had other quantities and now have these too."""
    known: int
    """Stored already, with the same values."""
    repeated: int
    """Said again within the batch."""
    conflicting: int
    """Different from what is stored, which stays."""
    refused: int
    refusals: tuple[RefusedReading, ...]
    """The refused and the conflicting ones in the batch's order, at most
    `MOST_LISTED`."""


def explain_refusals(
    readings: ReadingColumns,
    codes: Codes,
    probes: ProbesInUse,
    *,
    latest_s: int,
    stored_as: ReadingColumns,
    conflicting: NDArray[np.intp],
) -> tuple[RefusedReading, ...]:
    """Say of each reading that was not taken why not, in the batch's order.

    Args:
        readings: the batch as it came.
        codes: the verdict on each, see `check_readings`.
        probes: as the batch was judged by.
        latest_s: as the batch was judged by.
        stored_as: what is stored where readings conflict.
        conflicting: the places in the batch of those, in the same order.

    Returns:
        At most `MOST_LISTED`.
    """
    stored_at = {int(place): n for n, place in enumerate(conflicting)}
    return tuple(
        RefusedReading(
            place,
            reason := ORDER[codes[place] - 1],
            *(
                _conflict(readings, place, stored_as, stored_at[place])
                if reason is ReadingRefused.CONFLICTING
                else _facts(reason, readings, place, probes, latest_s)
            ),
        )
        for place in np.flatnonzero(codes)[:MOST_LISTED].tolist()
    )


def _conflict(
    readings: ReadingColumns, place: int, stored: ReadingColumns, stored_place: int
) -> tuple[str, str]:
    ours = [int(column[place]) for column in readings.values()]
    theirs = [int(column[stored_place]) for column in stored.values()]
    differing = [
        (quantity, mine, other)
        for quantity, mine, other in zip(QUANTITIES, ours, theirs, strict=True)
        if MISSING not in (mine, other) and mine != other
    ]
    return (
        f"{instant_text(int(readings.at[place]))}: "
        + ", ".join(value_text(quantity, mine) for quantity, mine, _ in differing),
        ", ".join(value_text(quantity, other) for quantity, _, other in differing),
    )


def _facts(
    reason: ReadingRefused,
    readings: ReadingColumns,
    place: int,
    probes: ProbesInUse,
    latest_s: int,
) -> tuple[str, str]:
    """Return what was given and what would be accepted."""
    when = instant_text(int(readings.at[place]))
    probe = int(readings.probe_ids[place])
    match reason:
        case ReadingRefused.UNKNOWN_PROBE:
            return f"probe {probe}", "the id of a probe of this installation"
        case ReadingRefused.TOO_EARLY:
            return when, f"{instant_text(EARLIEST_S)} or later"
        case ReadingRefused.IN_FUTURE:
            return _ahead(int(readings.at[place]), latest_s - AHEAD_S), (
                f"{instant_text(latest_s)} or earlier"
            )
        case ReadingRefused.NOT_IN_USE:
            return when, _in_use(probes, probe)
        case ReadingRefused.NOTHING_MEASURED:
            return "no value", "a temperature, a humidity or a UV index"
        case ReadingRefused.NOT_MEASURED_BY_PROBE:
            return _not_measured(readings, place, probes)
        case ReadingRefused.OUT_OF_RANGE:
            return _out_of_range(readings, place)
        case _:
            return when, "one value for each quantity of an instant"


def _ahead(at_s: int, now_s: int) -> str:
    return f"{instant_text(at_s)} is {span_text(at_s - now_s)}"


def _in_use(probes: ProbesInUse, probe: int) -> str:
    n = int(np.searchsorted(probes.ids, probe))
    start, end = int(probes.from_s[n]), int(probes.until_s[n])
    first = f"from {instant_text(start)}"
    return f"{first} to {instant_text(end)}" if end in _SECONDS_WITH_A_DATE else first


def _not_measured(
    readings: ReadingColumns, place: int, probes: ProbesInUse
) -> tuple[str, str]:
    n = int(np.searchsorted(probes.ids, readings.probe_ids[place]))
    measured = [bool(column[n]) for column in probes.measures]
    given = [int(column[place]) for column in readings.values()]
    strange = [
        value_text(quantity, value)
        for quantity, value, has in zip(QUANTITIES, given, measured, strict=True)
        if value != MISSING and not has
    ]
    wanted = [
        _SPOKEN[quantity][0]
        for quantity, has in zip(QUANTITIES, measured, strict=True)
        if has
    ]
    return ", ".join(strange), " and ".join(wanted)


def _out_of_range(readings: ReadingColumns, place: int) -> tuple[str, str]:
    wrong, wanted = [], []
    for quantity, column in zip(QUANTITIES, readings.values(), strict=True):
        value, (low, high) = int(column[place]), RANGE_MILLI[quantity]
        if value != MISSING and not low <= value <= high:
            wrong.append(value_text(quantity, value))
            wanted.append(
                f"{number_text(low)} to {value_text(quantity, high, bare=True)}"
            )
    return ", ".join(wrong), ", ".join(wanted)


def number_text(milli: int) -> str:
    """Return thousandths as a number without needless zeros."""
    text = f"{Decimal(milli).scaleb(-3):f}".rstrip("0").rstrip(".")
    return text.replace("-", "−")


def value_text(quantity: Quantity, milli: int, *, bare: bool = False) -> str:
    """Return a value with its unit, and its quantity unless bare."""
    name, unit = _SPOKEN[quantity]
    value = f"{number_text(milli)}{unit}"
    return value if bare else f"{name} {value}"


def span_text(seconds: int) -> str:
    """Return a length of time in its two largest units, cut off: `2 h 5 min`."""
    parts = []
    for size, unit in ((86_400, "d"), (3_600, "h"), (60, "min"), (1, "s")):
        whole, seconds = divmod(seconds, size)
        if whole:
            parts.append(f"{whole:,} {unit}")
    return " ".join(parts[:2]) or "0 s"


def quantity_name(quantity: Quantity) -> str:
    """Return a quantity's name as it is said."""
    return _SPOKEN[quantity][0]


def instant_text(at_s: int) -> str:
    """Return an epoch second as ISO 8601 in UTC; bare if no calendar has it."""
    if at_s not in _SECONDS_WITH_A_DATE:
        return f"second {at_s}"
    return f"{datetime.fromtimestamp(at_s, UTC):%Y-%m-%dT%H:%M:%SZ}"
