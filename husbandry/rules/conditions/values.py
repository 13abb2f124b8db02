"""Readings in, conditions out: arrays of exact integers with their units in the name."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from husbandry.rules.vocabulary import Period, Quantity

Bools: TypeAlias = NDArray[np.bool_]
Int32s: TypeAlias = NDArray[np.int32]
Int64s: TypeAlias = NDArray[np.int64]
Floats: TypeAlias = NDArray[np.float64]
Integers: TypeAlias = NDArray[Any]

MISSING = -(2**31)
"""No value: not measured then; as a limit: the band is open on that side."""

QUANTITIES = (Quantity.TEMPERATURE_C, Quantity.HUMIDITY_PCT, Quantity.UV_INDEX)
"""The order of quantities wherever one is named by an index."""

PERIODS = (Period.DAY, Period.NIGHT)
"""The order of periods wherever one is named by an index."""

BELIEVED_MILLI = ((-10_000, 60_000), (0, 100_000), (0, 20_000))
"""By quantity, the ends of what is believed; anything beyond is impossible."""

LONGEST_HOLD_S = 2**29


@dataclass(frozen=True, slots=True)
class Readings:
    """Readings of some probes, in any order.

    Attributes:
        probe: which probe, as an index into the plan's probes.
        at: epoch seconds.
        temperature: thousandths of °C, or MISSING.
        humidity: thousandths of %, or MISSING.
        uv_index: thousandths of UV index, or MISSING.
    """

    probe: Int32s
    at: Int64s
    temperature: Int32s
    humidity: Int32s
    uv_index: Int32s

    @property
    def values(self) -> tuple[Int32s, Int32s, Int32s]:
        """Return the values in the order of QUANTITIES."""
        return self.temperature, self.humidity, self.uv_index

    def __len__(self) -> int:
        return len(self.at)


@dataclass(frozen=True, slots=True)
class Band:
    """What is wanted of one quantity at one probe, in thousandths; MISSING: open.

    Attributes:
        probe: the probe's place in the plan.
        quantity: what is measured.
        band: 0, or a number where occupants have different bands.
    """

    probe: int
    quantity: Quantity
    band: int
    day_low_milli: int = MISSING
    day_high_milli: int = MISSING
    night_low_milli: int = MISSING
    night_high_milli: int = MISSING


@dataclass(frozen=True, slots=True)
class Bands:
    """Bands as arrays, in order of probe, quantity and band, each once.

    Attributes:
        probe: index into the plan's probes.
        quantity: index into QUANTITIES.
        band: the band's number.
        low_milli: lower ends, shape (bands, 2), by PERIODS; MISSING: open.
        high_milli: upper ends likewise.
    """

    probe: Integers
    quantity: Integers
    band: Integers
    low_milli: Integers
    high_milli: Integers

    def __post_init__(self) -> None:
        lane = self.probe.astype(np.int64) * len(QUANTITIES) + self.quantity
        if (np.diff((lane << 32) + self.band) <= 0).any():
            raise ValueError("Bands must be in order of probe, quantity and band.")
        shut = (self.low_milli > self.high_milli) & (self.high_milli != MISSING)
        if shut.any():
            raise ValueError("A band's lower end must not lie above its upper end.")

    def __len__(self) -> int:
        return len(self.probe)

    @classmethod
    def of(cls, bands: Iterable[Band]) -> "Bands":
        """Lay bands out as arrays, in whatever order they come.

        Raises:
            ValueError: two bands of a probe's quantity have the same number.
        """
        rows = sorted(
            (
                b.probe,
                QUANTITIES.index(b.quantity),
                b.band,
                b.day_low_milli,
                b.day_high_milli,
                b.night_low_milli,
                b.night_high_milli,
            )
            for b in bands
        )
        table = np.array(rows, np.int32).reshape(-1, 7)
        probe, quantity, band = table[:, 0], table[:, 1], table[:, 2]
        return cls(probe, quantity, band, table[:, 3::2], table[:, 4::2])


@dataclass(frozen=True, slots=True)
class NightPlan:
    """How the day of each probe is cut, and what is wanted of it.

    Attributes:
        bounds: epoch seconds, shape (probes, 4): the local day's start, lights on,
            lights off, the day's end, in order; equal neighbours: an empty piece.
        hold_s: how long a reading stays in force at most, shape (probes,).
        bands: what is wanted. A quantity that a probe measures without anything
            being wanted has one band, open on both sides; without any band the
            quantity is not summed up.
    """

    bounds: Int64s
    hold_s: Integers
    bands: Bands

    def __post_init__(self) -> None:
        if (np.diff(self.bounds, axis=1) < 0).any():
            raise ValueError("Each row of bounds must be in order of time.")
        if ((self.hold_s < 1) | (self.hold_s > LONGEST_HOLD_S)).any():
            raise ValueError(f"hold_s must lie within 1 to {LONGEST_HOLD_S} seconds.")

    @classmethod
    def of(
        cls,
        *,
        bounds: Sequence[tuple[int, int, int, int]],
        hold_s: Sequence[int],
        bands: Iterable[Band],
    ) -> "NightPlan":
        """Lay a plan out as arrays; probes are numbered as they come."""
        return cls(
            bounds=np.array(bounds, np.int64).reshape(-1, 4),
            hold_s=np.array(hold_s, np.int64),
            bands=Bands.of(bands),
        )

    def __len__(self) -> int:
        return len(self.bounds)


@dataclass(frozen=True, slots=True)
class NightConditions:
    """What the readings add up to: a row by probe, quantity, band and period.

    Rows are in that order, day before night; only what a probe measures has rows.
    An instant or a value that does not exist is MISSING. The two pieces of a night
    add up, but a spell never spans them.

    Attributes:
        probe: index into the plan's probes.
        quantity: index into QUANTITIES.
        band: the band's number.
        period: index into PERIODS.
        readings: readings of the quantity within the period, impossible ones too.
        expected_s: length of the period in that day; 0: the day has no such period.
        covered_s: seconds with a believed value in force.
        impossible_s: seconds with an impossible value in force.
        sum_milli_s: thousandths × seconds over the covered seconds.
        lowest_milli: lowest value in force.
        lowest_at: first instant of the period at which it was.
        highest_milli: highest value in force.
        highest_at: first instant of the period at which it was.
        low_milli: the band's lower end.
        high_milli: the band's upper end.
        below_s: seconds below the band.
        inside_s: seconds inside it, limits included.
        above_s: seconds above it.
        longest_below_s: longest unbroken spell below; a gap breaks it.
        longest_below_at: when that spell began within the period.
        longest_above_s: longest unbroken spell above.
        longest_above_at: when that spell began within the period.
        below_milli_s: depth below × seconds, thousandths.
        above_milli_s: height above × seconds, thousandths.
        stuck_s: longest run of one identical believed value in the whole day,
            seconds; the same on both periods' rows.
        stuck_at: when that run began within the day.
        stuck_readings: how many readings of the day repeat in that run.
    """

    probe: Int32s
    quantity: Int32s
    band: Int32s
    period: Int32s
    readings: Int64s
    expected_s: Int64s
    covered_s: Int64s
    impossible_s: Int64s
    sum_milli_s: Int64s
    lowest_milli: Int64s
    lowest_at: Int64s
    highest_milli: Int64s
    highest_at: Int64s
    low_milli: Int64s
    high_milli: Int64s
    below_s: Int64s
    inside_s: Int64s
    above_s: Int64s
    longest_below_s: Int64s
    longest_below_at: Int64s
    longest_above_s: Int64s
    longest_above_at: Int64s
    below_milli_s: Int64s
    above_milli_s: Int64s
    stuck_s: Int64s
    stuck_at: Int64s
    stuck_readings: Int64s

    def __len__(self) -> int:
        return len(self.probe)

    def mean(self) -> Floats:
        """Return the time-weighted means in the quantity's unit; NaN: not covered."""
        covered = np.where(self.covered_s > 0, self.covered_s, 1)
        means = self.sum_milli_s / (covered * 1000.0)
        return np.where(self.covered_s > 0, means, np.nan)
