"""What the demo's probes make of the climate: noise, steps, and their own faults."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import time
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from demo.air import Floats
from demo.climate import Climate
from demo.nights import STEP_S, Ints, Nights
from demo.plans import NIGHTS, ProbePlan
from husbandry.rules.vocabulary import Quantity, Zone

# Standard deviation of the noise and the smallest step shown, by quantity.
# Invented for the demo.
NOISE = {
    Quantity.TEMPERATURE_C: 0.1,
    Quantity.HUMIDITY_PCT: 0.6,
    Quantity.UV_INDEX: 0.03,
}
STEPS = {
    Quantity.TEMPERATURE_C: 0.1,
    Quantity.HUMIDITY_PCT: 0.1,
    Quantity.UV_INDEX: 0.1,
}


@dataclass(frozen=True, slots=True)
class Trouble:
    """What is wrong with one quantity of a probe from one moment to another.

    Attributes:
        quantity: None: the whole probe.
        value: what it shows all the time; None: it shows nothing.
    """

    probe: str
    quantity: Quantity | None
    from_night: int
    from_time: time
    until_night: int
    until_time: time
    value: float | None


@dataclass(frozen=True, slots=True)
class Series:
    """What one probe recorded: instants, and values by quantity (NaN: nothing)."""

    probe: ProbePlan
    at_s: Ints
    values: Mapping[Quantity, Floats]


def record(
    probe: ProbePlan,
    *,
    climate: Climate,
    place: int,
    nights: Nights,
    troubles: Sequence[Trouble],
    seed: int,
) -> Series:
    """Return what a probe records over the fourteen nights.

    Args:
        probe: which instrument; a basking probe sees the basking spot's temperature,
            any other the air's.
        climate: the simulated minutes of `nights`.
        place: the column of its enclosure.
        nights: the calendar that the climate was simulated for.
        troubles: those of every probe.
        seed: of the demo; the noise differs from probe to probe by its code.
    """
    start_s, end_s = nights.bounds_s(1)[0], nights.bounds_s(NIGHTS)[1]
    first_s = start_s + probe.offset_min * 60
    at_s = np.arange(first_s, end_s, probe.interval_min * 60, dtype=np.int64)
    # A step's state holds at its end.
    steps = (at_s - nights.bounds_s(0)[0]) // STEP_S - 1
    noise = np.random.default_rng([seed, crc32(probe.code.encode())])
    truths = _truths(probe, climate)
    values = {
        quantity: _shown(truths[quantity][steps, place], quantity, noise)
        for quantity in probe.quantities
    }
    whole = Series(probe, at_s, values)
    for trouble in troubles:
        if trouble.probe == probe.code:
            whole = _troubled(whole, trouble, nights)
    return whole


def _truths(probe: ProbePlan, climate: Climate) -> dict[Quantity, Floats]:
    warm = climate.basking_c if probe.zone is Zone.BASKING else climate.air_c
    return {
        Quantity.TEMPERATURE_C: warm,
        Quantity.HUMIDITY_PCT: climate.humidity_pct,
        Quantity.UV_INDEX: climate.uv_index,
    }


def _shown(true: Floats, quantity: Quantity, noise: np.random.Generator) -> Floats:
    """Return a true course as an instrument shows it."""
    sizes = noise.standard_normal(len(true)) * NOISE[quantity]
    if quantity is Quantity.UV_INDEX:
        sizes = np.where(true > 0, sizes, 0)  # the dark is dark
    step = STEPS[quantity]
    shown: Floats = np.round((true + sizes) / step) * step
    if quantity is Quantity.TEMPERATURE_C:
        return shown
    top = 100.0 if quantity is Quantity.HUMIDITY_PCT else np.inf
    return np.clip(shown, 0, top)


def _troubled(series: Series, trouble: Trouble, nights: Nights) -> Series:
    """Return a series with one trouble in it."""
    from_s = nights.instant_s(trouble.from_night, trouble.from_time)
    until_s = nights.instant_s(trouble.until_night, trouble.until_time)
    when = (series.at_s >= from_s) & (series.at_s < until_s)
    shown = np.nan if trouble.value is None else trouble.value
    values = {
        quantity: np.where(when, shown, course)
        if trouble.quantity in (None, quantity)
        else course
        for quantity, course in series.values.items()
    }
    return replace(series, values=values)


def is_silent(series: Series) -> NDArray[np.bool_]:
    """Say for each instant whether nothing at all was recorded."""
    silent = np.ones(len(series.at_s), dtype=np.bool_)
    for course in series.values.values():
        silent &= np.isnan(course)
    return silent
