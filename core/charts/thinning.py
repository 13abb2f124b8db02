"""Fewer points without losing an extreme, and runs that stop at a gap."""

from collections.abc import Iterator
from math import isfinite

from core.charts.values import Line

MOST_POINTS = 500
Kept = tuple[float, float, int]


def runs(
    line: Line, *, start: float, end: float
) -> tuple[tuple[tuple[float, float], ...], ...]:
    """Return the stretches of a line that may be joined, thinned for drawing.

    Args:
        line: the measurements, in order of x.
        start: first x of the drawing; points outside it are left out.
        end: last x of the drawing.

    Returns:
        Runs of (x, value), at most 500 points in all. The lowest and the highest
        value of every column of the drawing are kept, the first and last point too.
        A missing value, or a distance greater than the line's gap, ends a run.
    """
    numbered = list(_number_runs(line, start, end))
    kept = _thin(numbered, start, end)
    found: dict[int, list[tuple[float, float]]] = {}
    for x, value, run in kept:
        found.setdefault(run, []).append((x, value))
    return tuple(tuple(points) for points in found.values())


def _number_runs(line: Line, start: float, end: float) -> Iterator[Kept]:
    run, before, broken = 0, None, False
    for x, value in line.points:
        if value is None or not isfinite(value):
            broken = True
            continue
        if broken or (before is not None and x - before > line.gap):
            run += 1
        before, broken = x, False
        if start <= x <= end:
            yield x, value, run


def _thin(points: list[Kept], start: float, end: float) -> list[Kept]:
    if len(points) <= MOST_POINTS:
        return points
    columns = (MOST_POINTS - 2) // 2
    width = (end - start) / columns
    lowest: dict[int, int] = {}
    highest: dict[int, int] = {}
    for index, (x, value, _) in enumerate(points):
        column = min(int((x - start) / width), columns - 1)
        if column not in lowest or value < points[lowest[column]][1]:
            lowest[column] = index
        if column not in highest or value > points[highest[column]][1]:
            highest[column] = index
    ends = {0, len(points) - 1}
    chosen = sorted(ends.union(lowest.values(), highest.values()))
    return [points[index] for index in chosen]
