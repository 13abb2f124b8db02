"""Small days for tests: one probe, written as people would tell them."""

from collections.abc import Iterable, Sequence
from dataclasses import fields

import numpy as np

from husbandry.rules.conditions import (
    MISSING,
    Band,
    NightConditions,
    NightPlan,
    Readings,
    summarise,
)
from husbandry.rules.vocabulary import Quantity

Row = dict[str, int]
Triple = tuple[int | None, int | None, int | None]


def readings(rows: Iterable[tuple[int, int, Triple]]) -> Readings:
    """Return readings from (probe, instant, three values or None)."""
    table = np.array(
        [
            (probe, at, *(MISSING if value is None else value for value in values))
            for probe, at, values in rows
        ],
        np.int64,
    ).reshape(-1, 5)
    short = table.astype(np.int32)
    return Readings(short[:, 0], table[:, 1], short[:, 2], short[:, 3], short[:, 4])


def temperatures(values: Iterable[tuple[int, int]]) -> Readings:
    """Return one probe's temperatures from (instant, thousandths of °C)."""
    return readings((0, at, (value, None, None)) for at, value in values)


def one_probe(
    bounds: tuple[int, int, int, int],
    *,
    hold_s: int,
    low: int = MISSING,
    high: int = MISSING,
    night: tuple[int, int] = (MISSING, MISSING),
) -> NightPlan:
    """Return the plan of one probe's temperature with one band."""
    band = Band(0, Quantity.TEMPERATURE_C, 0, low, high, *night)
    return NightPlan.of(bounds=[bounds], hold_s=[hold_s], bands=[band])


def rows(night: NightConditions) -> list[Row]:
    """Return conditions row by row."""
    names = [field.name for field in fields(night)]
    columns = [getattr(night, name).tolist() for name in names]
    return [dict(zip(names, row, strict=True)) for row in zip(*columns, strict=True)]


def day_and_night(values: Sequence[tuple[int, int]], plan: NightPlan) -> list[Row]:
    """Return the two rows of one probe's temperature: day, night."""
    return rows(summarise(temperatures(values), plan))
