"""Batches of readings that were sent: as exact thousandths, with their places."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Any, Self

import numpy as np
from numpy.typing import NDArray

from api.reading_structs import VALUES, ReadingIn
from api.row_lists import RefusedRow
from husbandry.rules.loggers.vocabulary import MISSING
from husbandry.rules.reading_reports import MOST_LISTED
from husbandry.rules.readings import Longs, Mask, Millis, ReadingColumns, ReadingRefused

LARGEST = 1_000_000.0
"""More than any instrument shows; beyond it thousandths do not fit their columns."""


@dataclass(frozen=True, slots=True, eq=False)
class Batch:
    """The readings that can be read, as columns, with their places as sent.

    Attributes:
        received: how many were sent, those that cannot be read among them.
        places: where each stood in what was sent.
        codes: of probes, as sent, each once.
        code: which of `codes` each reading names.
        at: epoch seconds.
        values: thousandths, by quantity in the order of `VALUES`.
        refused: why others cannot be read.
    """

    received: int
    places: Longs
    codes: tuple[str, ...]
    code: NDArray[np.intp]
    at: Longs
    values: tuple[Millis, ...]
    refused: list[RefusedRow]

    @classmethod
    def of(
        cls,
        *,
        received: int,
        places: Sequence[int],
        probes: Sequence[str] | str,
        at: Sequence[int | datetime],
        values: Sequence[Sequence[float | None] | None],
        refused: list[RefusedRow],
    ) -> Self:
        """Return a batch; a value that is too large for any instrument is refused.

        Args:
            received: how many were sent.
            places: of those that can be read.
            probes: the code of each, or one code that all of them name.
            at: instants or epoch seconds.
            values: by quantity; None where all of a column was left out.
            refused: added to, at most as many as are listed.
        """
        codes, code = _numbered(probes, len(at))
        columns, large = [], np.zeros(len(at), dtype=np.bool_)
        for name, given in zip(VALUES, values, strict=True):
            milli, too_large = _column(given, len(at))
            for row in np.flatnonzero(too_large & ~large)[:MOST_LISTED].tolist():
                value = given[row] if given is not None else None
                refused.append(_too_large(places[row], name, value))
            large |= too_large
            columns.append(milli)
        batch = cls(
            received=received,
            places=_numbers(places),
            codes=codes,
            code=code,
            at=seconds(at),
            values=tuple(columns),
            refused=refused,
        )
        return batch.where(~large) if large.any() else batch

    @classmethod
    def of_rows(
        cls,
        rows: Sequence[ReadingIn],
        places: Sequence[int],
        refused: list[RefusedRow],
        *,
        received: int,
    ) -> Self:
        """Return a batch of rows that can be read."""
        return cls.of(
            received=received,
            places=places,
            probes=[row.probe for row in rows],
            at=[row.at for row in rows],
            values=[[getattr(row, name) for row in rows] for name in VALUES],
            refused=refused,
        )

    def where(self, keep: Mask) -> Self:
        """Return the batch without some of its readings."""
        return type(self)(
            received=self.received,
            places=self.places[keep],
            codes=self.codes,
            code=self.code[keep],
            at=self.at[keep],
            values=tuple(column[keep] for column in self.values),
            refused=self.refused,
        )

    def columns(self, keys: Longs) -> ReadingColumns:
        """Return the readings with these keys in place of their codes."""
        temperature, humidity, uv_index = self.values
        return ReadingColumns(keys, self.at, temperature, humidity, uv_index)


def _numbers(places: Sequence[int]) -> Longs:
    if isinstance(places, range):  # as it is where nothing was refused
        return np.arange(places.start, places.stop, dtype=np.int64)
    return np.array(places, dtype=np.int64)


def _numbered(
    probes: Sequence[str] | str, count: int
) -> tuple[tuple[str, ...], NDArray[np.intp]]:
    if isinstance(probes, str):
        return (probes,), np.zeros(count, dtype=np.intp)
    numbers = {code: n for n, code in enumerate(dict.fromkeys(probes))}
    named = np.fromiter(map(numbers.__getitem__, probes), dtype=np.intp, count=count)
    return tuple(numbers), named


def _column(given: Sequence[float | None] | None, count: int) -> tuple[Millis, Mask]:
    if given is None:
        nothing = np.zeros(count, dtype=np.bool_)
        return np.full(count, MISSING, dtype=np.int32), nothing
    return thousandths(given)


def _too_large(place: int, name: str, value: float | None) -> RefusedRow:
    return RefusedRow(
        index=place,
        code=ReadingRefused.OUT_OF_RANGE.value,
        sentence=f"{name} {value!r} is more than any instrument can show; give °C, % "
        "or UV index.",
    )


def seconds(at: Sequence[int | datetime]) -> Longs:
    """Return instants as whole epoch seconds; a fraction is cut off."""
    # One look at the kinds costs less than asking each of them.
    if set(map(type, at)) <= {int}:
        return np.array(at, dtype=np.int64)
    whole: list[Any] = [
        one if isinstance(one, int) else int(one.timestamp() // 1) for one in at
    ]
    return np.array(whole, dtype=np.int64)


def thousandths(values: Sequence[float | None]) -> tuple[Millis, Mask]:
    """Return numbers as exact thousandths, and which of them are too large.

    Args:
        values: None where nothing was measured.

    Returns:
        int32 thousandths, rounded half to even by the decimals as they were
        written, `MISSING` where nothing was measured or it is too large; and the
        mask of the latter.
    """
    given = np.array(values, dtype=np.float64)
    missing = np.isnan(given)
    too_large = np.abs(np.where(missing, 0.0, given)) > LARGEST
    scaled = np.where(missing | too_large, 0.0, given) * 1000
    milli = np.rint(scaled)
    # Near a half the binary product may have lost what the decimals say.
    near_half = np.abs(np.abs(scaled - np.trunc(scaled)) - 0.5) < 1e-3
    for place in np.flatnonzero(near_half):
        exact = Decimal(repr(float(given[place]))) * 1000
        milli[place] = int(exact.to_integral_value(ROUND_HALF_EVEN))
    found = milli.astype(np.int32)
    found[missing | too_large] = MISSING
    return found, too_large
