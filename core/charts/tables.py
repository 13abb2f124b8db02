"""The table that stands behind each chart."""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import groupby
from math import isfinite

from core.charts.values import Line


@dataclass(frozen=True, slots=True)
class TableRow:
    """What a line shows over one stretch of x.

    Attributes:
        name: of the stretch, for example a day.
        lowest: least value; None where there was none.
        highest: greatest value; None where there was none.
        points: how many values.
    """

    name: str
    lowest: float | None
    highest: float | None
    points: int


def table(line: Line, *, name: Callable[[float], str]) -> tuple[TableRow, ...]:
    """Sum up a line by stretches of equal name, in order.

    Args:
        line: the measurements.
        name: turns x into the name of its stretch: a date, an hour.
    """
    rows = []
    for stretch, points in groupby(line.points, key=lambda point: name(point[0])):
        values = [v for _, v in points if v is not None and isfinite(v)]
        rows.append(
            TableRow(
                stretch,
                min(values, default=None),
                max(values, default=None),
                len(values),
            )
        )
    return tuple(rows)
