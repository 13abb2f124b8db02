"""By what figures are told apart: kinds of animals, ways of coming, or times."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from enum import StrEnum

from placements.rules.figures.counting import Figures, figures_of
from placements.rules.figures.facts import ONE_DAY, Charge, Period


class FiguresBy(StrEnum):
    """By what figures are told apart."""

    ALL = "all"
    SPECIES = "species"
    SOURCE = "source"
    MONTH = "month"
    YEAR = "year"


def grouped_figures(
    charges: Iterable[Charge], *, by: FiguresBy, period: Period, on: date
) -> Mapping[str, Figures]:
    """Return the figures of each group, by its name and in the order of the names.

    Args:
        charges: set right.
        by: what tells groups apart; by month or year the period is cut, and the first
            and last piece may be short.
        period: not beyond today.
        on: today.
    """
    charges = list(charges)
    if by in (FiguresBy.MONTH, FiguresBy.YEAR):
        pieces = pieces_of(period, by_year=by is FiguresBy.YEAR)
        return {
            name: figures_of(charges, period=piece, on=on) for name, piece in pieces
        }
    groups: dict[str, list[Charge]] = defaultdict(list)
    for charge in charges:
        groups[_name(charge, by)].append(charge)
    if by is FiguresBy.ALL and not groups:
        groups["all"] = []
    return {
        name: figures_of(groups[name], period=period, on=on) for name in sorted(groups)
    }


def _name(charge: Charge, by: FiguresBy) -> str:
    if by is FiguresBy.SPECIES:
        return charge.species
    return charge.came.value if by is FiguresBy.SOURCE else "all"


def pieces_of(period: Period, *, by_year: bool) -> Iterator[tuple[str, Period]]:
    """Cut a period into calendar months, or years, with their names.

    Args:
        period: first and last piece are cut where it begins and ends.
        by_year: years, named `2026`; else months, named `2026-03`.
    """
    first_on = period.first_on
    while first_on <= period.last_on:
        next_on = _next_year(first_on) if by_year else _next_month(first_on)
        last_on = min(next_on - ONE_DAY, period.last_on)
        name = f"{first_on.year}" if by_year else f"{first_on:%Y-%m}"
        yield name, Period(first_on, last_on)
        first_on = next_on


def _next_year(on: date) -> date:
    return date(on.year + 1, 1, 1)


def _next_month(on: date) -> date:
    return date(on.year + on.month // 12, on.month % 12 + 1, 1)
