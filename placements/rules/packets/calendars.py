"""The month sheet: on which days to feed, and what to dust the food with."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from placements.rules.packets.plans import CalendarDay

SHEET_DAYS = 35


@dataclass(frozen=True, slots=True)
class Rhythm:
    """Every how many days food is offered; between 2 and 3 they take turns."""

    low: int
    high: int


@dataclass(frozen=True, slots=True)
class Dusting:
    """A supplement: with every feeding, or on some days of the month.

    Attributes:
        month_days: empty for every feeding; else days of the month, 1 to 28.
        instead_of: id of the supplement that it replaces on those days, or "".
    """

    id: str
    name: str
    month_days: tuple[int, ...]
    instead_of: str


def calendar(
    *,
    first_on: date,
    rhythm_on: Callable[[date], Rhythm | None],
    dustings_on: Callable[[date], tuple[Dusting, ...]],
    days: int = SHEET_DAYS,
) -> tuple[CalendarDay, ...]:
    """Lay out feeding days and supplements from a day on.

    Where no food is offered on a supplement's day, the next feeding takes it. It
    is an arrangement to start from: other days as evenly spread do as well.

    Args:
        first_on: first day of the sheet; food is offered on it.
        rhythm_on: how often to feed, by day, since the life stage may change; None:
            no rule, and then no feeding is laid out from there on.
        dustings_on: the supplements, by day.
        days: length of the sheet.
    """
    sheet = []
    due: dict[str, Dusting] = {}
    feeding = set(_feeding_days(first_on, rhythm_on, days))
    for on in (first_on + timedelta(days=n) for n in range(days)):
        dustings = dustings_on(on)
        due |= {d.id: d for d in dustings if on.day in d.month_days}
        given: tuple[str, ...] = ()
        if on in feeding:
            given = _given(dustings, tuple(due.values()))
            due = {}
        sheet.append(CalendarDay(on, on in feeding, given))
    return tuple(sheet)


def _feeding_days(
    first_on: date, rhythm_on: Callable[[date], Rhythm | None], days: int
) -> Iterator[date]:
    on, turn = first_on, 0
    while (on - first_on).days < days and (rhythm := rhythm_on(on)) is not None:
        yield on
        steps = range(rhythm.low, rhythm.high + 1)
        on += timedelta(days=steps[turn % len(steps)])
        turn += 1


def _given(dustings: tuple[Dusting, ...], due: tuple[Dusting, ...]) -> tuple[str, ...]:
    replaced = {d.instead_of for d in due}
    always = [d for d in dustings if not d.month_days and d.id not in replaced]
    return tuple(d.name for d in (*always, *due))
