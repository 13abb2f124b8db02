"""Times in care that contradict each other or the calendar: left out, and told."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from placements.rules.figures.facts import LeftOut, LeftOutWhy
from placements.rules.register.facts import AnimalRecord, CareTime


def set_right(
    record: AnimalRecord, *, on: date
) -> tuple[AnimalRecord, tuple[LeftOut, ...]]:
    """Return a record without the times in care that cannot be, and those times.

    A time that ends before it began, or begins or ends on a day to come, is left out.
    Of two with the same days one is. One without an end, or with an end after the
    animal came again, is left out for the later one, by which it must have ended; on
    which day, nobody knows.

    Args:
        record: of one animal.
        on: today.

    Source:
        figure-conventions.
    """
    kept: list[CareTime] = []
    out: list[LeftOut] = []
    for time in _in_order(record.times):
        why = _impossible(time, on)
        if why is None and time in kept:
            why = LeftOutWhy.REPEATED
        if why is not None:
            out.append(_told(record, time, why))
            continue
        while kept and (why := _contradicts(kept[-1], time)) is not None:
            out.append(_told(record, kept.pop(), why))
        kept.append(time)
    return replace(record, times=tuple(kept)), tuple(out)


def _in_order(times: Sequence[CareTime]) -> list[CareTime]:
    """Return times by their first day, then by their last; without an end last."""
    return sorted(times, key=lambda t: (t.arrived_on, t.left_on or date.max))


def _impossible(time: CareTime, on: date) -> LeftOutWhy | None:
    if time.left_on is not None and time.left_on < time.arrived_on:
        return LeftOutWhy.NEGATIVE
    if time.arrived_on > on or (time.left_on is not None and time.left_on > on):
        return LeftOutWhy.TO_COME
    return None


def _contradicts(earlier: CareTime, later: CareTime) -> LeftOutWhy | None:
    if earlier.left_on is None:
        return LeftOutWhy.OPEN
    if earlier.left_on > later.arrived_on:
        return LeftOutWhy.OVERLAPPING
    return None


def _told(record: AnimalRecord, time: CareTime, why: LeftOutWhy) -> LeftOut:
    return LeftOut(record.code, time.arrived_on, time.left_on, why)
