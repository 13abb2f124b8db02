"""Readings in columns, and what is checked before any of them is stored."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from husbandry.rules.loggers.numbers import HUMIDITY_CAP_MILLI, RANGE_MILLI
from husbandry.rules.loggers.vocabulary import MISSING
from husbandry.rules.vocabulary import Quantity

EARLIEST_S = 631_152_000
"""1990-01-01T00:00Z. Loggers whose clock was lost begin at 1970, 1980 or 1904."""
AHEAD_S = 300
"""A logger's clock may be this far ahead. House rule, no source."""
HOLD_INTERVALS = 3
"""A reading holds until the next one, at most this many intervals (ADR 0002)."""

QUANTITIES = (Quantity.TEMPERATURE_C, Quantity.HUMIDITY_PCT, Quantity.UV_INDEX)
"""The order of the value columns wherever they stand side by side."""

Longs = NDArray[np.int64]
Millis = NDArray[np.int32]
Mask = NDArray[np.bool_]
Codes = NDArray[np.int8]


class ReadingRefused(StrEnum):
    """Why a reading is not stored."""

    UNKNOWN_PROBE = "unknown_probe"
    TOO_EARLY = "too_early"
    IN_FUTURE = "in_future"
    NOT_IN_USE = "not_in_use"
    NOTHING_MEASURED = "nothing_measured"
    NOT_MEASURED_BY_PROBE = "not_measured_by_probe"
    OUT_OF_RANGE = "out_of_range"
    REPEATED_DIFFERENTLY = "repeated_differently"
    CONFLICTING = "conflicting"
    UNCLAIMED_FULL = "unclaimed_full"


ORDER = tuple(ReadingRefused)
"""Codes in arrays are positions in this tuple, plus one; 0 is accepted."""


@dataclass(frozen=True, slots=True, eq=False)
class ReadingColumns:
    """Readings as columns of one length, one place per reading.

    `probe_ids` and `at` (epoch seconds) are int64; the values are int32 thousandths
    of °C, % and UV index, `MISSING` where a quantity was not measured.
    """

    probe_ids: Longs
    at: Longs
    temperature: Millis
    humidity: Millis
    uv_index: Millis

    @classmethod
    def of(
        cls,
        *,
        probe_ids: ArrayLike,
        at: ArrayLike,
        temperature: ArrayLike | None = None,
        humidity: ArrayLike | None = None,
        uv_index: ArrayLike | None = None,
    ) -> Self:
        """Return columns of the right types; a column left out is all missing.

        Args:
            probe_ids: keys of probes.
            at: epoch seconds.
            temperature: thousandths of °C, whole numbers; likewise the others. What
                no int32 can hold becomes the largest or smallest one that is no
                `MISSING`, and is out of every range.
            humidity: thousandths of %.
            uv_index: thousandths of UV index.

        Raises:
            ValueError: the columns differ in length or are not flat, or hold
                fractions: thousandths are whole, and nothing is rounded unseen.
        """
        ids = _whole(probe_ids).astype(np.int64)
        stamps = _whole(at).astype(np.int64)
        values = [
            np.full(ids.size, MISSING, dtype=np.int32)
            if column is None
            else _millis(_whole(column))
            for column in (temperature, humidity, uv_index)
        ]
        shapes = {ids.shape, stamps.shape, *(column.shape for column in values)}
        if shapes != {(ids.size,)}:
            raise ValueError("Columns of readings have one length.")
        return cls(ids, stamps, *values)

    def __len__(self) -> int:
        return len(self.probe_ids)

    def values(self) -> tuple[Millis, Millis, Millis]:
        """Return the value columns in the order of `QUANTITIES`."""
        return self.temperature, self.humidity, self.uv_index

    def take(self, where: NDArray[np.intp] | Mask | slice) -> Self:
        """Return the readings at these places, in this order."""
        return type(self)(
            self.probe_ids[where],
            self.at[where],
            *(column[where] for column in self.values()),
        )


def _whole(column: ArrayLike) -> NDArray[Any]:
    numbers = np.asarray(column)
    if numbers.size and numbers.dtype.kind not in "iu":
        raise ValueError(
            f"Columns of readings hold whole numbers of at most 64 bits; this one holds "
            f"{numbers.dtype} ({numbers.flat[0]!r})."
        )
    return numbers


def _millis(numbers: NDArray[Any]) -> Millis:
    if numbers.dtype == np.int32:
        return numbers
    fitting: Millis = np.clip(numbers, MISSING, np.iinfo(np.int32).max).astype(np.int32)
    fitting[numbers < MISSING] = MISSING + 1
    return fitting


@dataclass(frozen=True, slots=True, eq=False)
class ProbesInUse:
    """What storing has to know of the probes: one place per probe, ids ascending."""

    ids: Longs
    from_s: Longs
    """First second of the first local day in use."""
    until_s: Longs
    """First second after the last local day in use; the largest int64 while in use."""
    hold_s: Longs
    measures: tuple[Mask, Mask, Mask]
    """Whether a probe measures each of `QUANTITIES`."""
    site_ids: Longs

    def places(self, probe_ids: Longs) -> tuple[NDArray[np.intp], Mask]:
        """Return where each id stands here, and whether it does at all."""
        if not len(self.ids):
            nowhere = np.zeros(len(probe_ids), dtype=np.intp)
            return nowhere, np.zeros(len(probe_ids), dtype=np.bool_)
        found = np.minimum(np.searchsorted(self.ids, probe_ids), len(self.ids) - 1)
        return found, self.ids[found] == probe_ids


def check_readings(
    readings: ReadingColumns, probes: ProbesInUse, *, latest_s: int
) -> Codes:
    """Judge each reading by itself.

    Args:
        readings: in any order; none is fine.
        probes: at least every existing probe that is named in `readings`.
        latest_s: the last acceptable epoch second.

    Returns:
        One code per reading: 0 is accepted, else its reason's place in `ORDER`
        plus one. Where several reasons hold, the first of `ORDER` is given.

    Source:
        House rules, no source (ADR 0003); ranges as in logger files.
    """
    codes = np.zeros(len(readings), dtype=np.int8)
    place, exists = probes.places(readings.probe_ids)
    _mark(codes, ~exists, ReadingRefused.UNKNOWN_PROBE)
    _mark(codes, readings.at < EARLIEST_S, ReadingRefused.TOO_EARLY)
    _mark(codes, readings.at > latest_s, ReadingRefused.IN_FUTURE)
    if len(probes.ids):
        in_use = (readings.at >= probes.from_s[place]) & (
            readings.at < probes.until_s[place]
        )
        _mark(codes, ~in_use, ReadingRefused.NOT_IN_USE)
    measured = [column != MISSING for column in readings.values()]
    _mark(codes, ~np.logical_or.reduce(measured), ReadingRefused.NOTHING_MEASURED)
    if len(probes.ids):
        for has_value, measures in zip(measured, probes.measures, strict=True):
            _mark(
                codes,
                has_value & ~measures[place],
                ReadingRefused.NOT_MEASURED_BY_PROBE,
            )
    for outside in _outside(readings):
        _mark(codes, outside, ReadingRefused.OUT_OF_RANGE)
    return codes


def _mark(codes: Codes, where: Mask, reason: ReadingRefused) -> None:
    codes[where & (codes == 0)] = ORDER.index(reason) + 1


def _outside(readings: ReadingColumns) -> Iterator[Mask]:
    for quantity, column in zip(QUANTITIES, readings.values(), strict=True):
        low, high = RANGE_MILLI[quantity]
        yield (column != MISSING) & ((column < low) | (column > high))


def cap_humidity(readings: ReadingColumns) -> ReadingColumns:
    """Return the readings with saturated air at 100 %.

    Sensors overshoot a little in saturated air; files are read by the same rule,
    so that one reading has one value whichever way it came in.
    """
    if not (readings.humidity > HUMIDITY_CAP_MILLI).any():
        return readings
    capped = np.minimum(readings.humidity, np.int32(HUMIDITY_CAP_MILLI))
    return ReadingColumns(
        readings.probe_ids, readings.at, readings.temperature, capped, readings.uv_index
    )
