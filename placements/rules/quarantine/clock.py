"""The clock of a quarantine: whom an animal met, and from when its days count."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

from placements.rules.quarantine.values import Exposure, KeptApart, Visit

_A_DAY = timedelta(days=1)


def clock_restarts_on(began_on: date, exposures: Iterable[Exposure]) -> date:
    """Return the day from which the days of a quarantine are counted.

    Args:
        began_on: its first day.
        exposures: in any order; one on its first day or before changes nothing.

    Returns:
        The day of the newest exposure, or its first day.

    Source:
        quarantine-guidance: the clock restarts when stock of the same order joins.
    """
    return max((began_on, *(exposure.on for exposure in exposures)))


def earliest_end_on(clock_from: date, *, days: int) -> date:
    """Return the first day on which enough days have passed.

    Args:
        clock_from: the day from which they are counted, which is day 0.
        days: at least so many.

    Source:
        quarantine-guidance. From 1 January and with 30 days it is 31 January.
    """
    return clock_from + timedelta(days=days)


def joined(visits: Iterable[Visit]) -> tuple[Visit, ...]:
    """Return visits with those joined that follow in the same room without a break.

    A move from one enclosure to another of the same room is no new meeting.

    Args:
        visits: of one animal, oldest first, not overlapping.
    """
    found: list[Visit] = []
    for visit in visits:
        last = found[-1] if found else None
        if last and last.room == visit.room and last.until_at == visit.from_at:
            found[-1] = replace(last, until_at=visit.until_at, until_on=visit.until_on)
        else:
            found.append(visit)
    return tuple(found)


def exposures_of(
    kept: KeptApart,
    others: Iterable[KeptApart],
    *,
    visits: Mapping[int, Sequence[Visit]],
    on: date,
) -> tuple[Exposure, ...]:
    """Return what restarted the clock of an animal until a local day.

    Args:
        kept: the quarantine whose clock it is.
        others: other quarantines, open or over, in any order; those of other groups
            and of the animal itself are passed over.
        visits: by animal, as `joined` returns them; an animal without any met nobody.
        on: the last day looked at.

    Returns:
        Oldest first, then by code. A meeting on the animal's own first day is none:
        its clock has only begun. Which of two came to the other makes no difference.
        Two that change rooms together, or part for less than a day, do not meet anew.

    Source:
        quarantine-guidance; quarantine-convention for who counts as joining.
    """
    own = visits.get(kept.animal, ())
    found = {
        exposure
        for other in others
        if other.group == kept.group and other.animal != kept.animal
        for exposure in _meetings(kept, other, own, visits.get(other.animal, ()))
        if kept.began_on < exposure.on <= on
    }
    return tuple(sorted(found, key=lambda e: (e.on, e.code, e.animal, e.room)))


def _meetings(
    kept: KeptApart, other: KeptApart, own: Sequence[Visit], theirs: Sequence[Visit]
) -> Iterator[Exposure]:
    """Yield each day on which company of the two begins."""
    reached_on = date.min
    for on, last_on, room in sorted(_company(kept, other, own, theirs)):
        if on > reached_on + _A_DAY:
            yield Exposure(on, other.animal, other.code, room)
        reached_on = max(reached_on, last_on)


def _company(
    kept: KeptApart, other: KeptApart, own: Sequence[Visit], theirs: Sequence[Visit]
) -> Iterator[tuple[date, date, str]]:
    """Yield from when until when both were in a room and both were kept apart."""
    for visit in own:
        for met in theirs:
            if met.room != visit.room or not _overlap(visit, met):
                continue
            on = max(visit.from_on, met.from_on, kept.began_on, other.began_on)
            # On the day on which one of them was let out, both were still there.
            lasts = (visit.until_on, met.until_on, kept.ended_on, other.ended_on)
            last_on = min(date.max if day is None else day for day in lasts)
            if on <= last_on:
                yield on, last_on, visit.room_name


def _overlap(one: Visit, other: Visit) -> bool:
    return (one.until_at is None or other.from_at < one.until_at) and (
        other.until_at is None or one.from_at < other.until_at
    )
