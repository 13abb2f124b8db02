"""Keep what homes measure in their enclosures, typed or out of a logger's file."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from django.db import transaction

from core import audit
from core.errors import DomainError
from core.models import User
from husbandry.rules.import_answers import NO_ANSWERS, Answers
from husbandry.rules.vocabulary import Zone
from placements.models import HomeEnclosure, HomeReading
from placements.queries.home_enclosures import readings_since
from placements.rules.readiness.files import HomeFile, read_home_file
from placements.rules.readiness.typed import (
    ZONES,
    TypedReading,
    milli_of,
    problem_of,
)

MOST_READINGS = 100_000
_AT_ONCE = 2_000
_Key = tuple[str, str, datetime]


class TooManyReadingsError(DomainError):
    """More readings than one enclosure is kept with."""

    code = "too_many_readings"


@dataclass(frozen=True, slots=True)
class Taken:
    """What became of readings.

    Attributes:
        stored: values that are new.
        known: values that were kept before, the same.
        conflicting: values at whose instant another value was kept; that one stays.
        problems: (place among the readings, from 0, sentence) of typed ones.
    """

    stored: int
    known: int
    conflicting: int
    problems: tuple[tuple[int, str], ...] = ()


@transaction.atomic
def add_readings(
    *,
    enclosure: HomeEnclosure,
    readings: Sequence[TypedReading],
    by: User | None,
    at: datetime,
) -> Taken:
    """Keep readings that a home typed; a bad one does not keep the others out.

    Args:
        enclosure: where they were taken.
        readings: in any order.
        by: the person; None: the home itself.
        at: now.

    Raises:
        TooManyReadingsError: the enclosure would have too many; nothing is kept.
    """
    since = readings_since(enclosure=enclosure, at=at)
    problems = [
        (n, problem_of(r, since=since, until=at)) for n, r in enumerate(readings)
    ]
    bad = {n for n, problem in problems if problem}
    good = {
        (r.zone.value, r.quantity.value, r.at): milli_of(r)
        for n, r in enumerate(readings)
        if n not in bad
    }
    taken = _keep(enclosure, good, file_name="", by=by, at=at)
    return Taken(
        taken.stored,
        taken.known,
        taken.conflicting,
        tuple((n, problem) for n, problem in problems if problem),
    )


@transaction.atomic
def import_readings(
    *,
    enclosure: HomeEnclosure,
    data: bytes,
    file_name: str,
    zone: Zone,
    channel: str = "",
    answers: Answers = NO_ANSWERS,
    by: User | None,
    at: datetime,
) -> tuple[HomeFile, Taken]:
    """Take in a logger's file: all of its good rows, or nothing. Safe to run again.

    Args:
        enclosure: where the logger hung.
        data: the file.
        file_name: as sent.
        zone: at which spot it hung.
        channel: which of the file's instruments it was; "" if there is one.
        answers: what was said about the file.
        by: the person; None: the home itself.
        at: now.

    Returns:
        What the file came to, and what was kept of it.

    Raises:
        TooManyReadingsError: the enclosure would have too many; nothing is kept.
        DomainError: no such spot; and the errors of `read_home_file`.
    """
    if zone not in ZONES:
        named = ", ".join(one.value for one in ZONES)
        raise DomainError(
            f"{zone.value} is no spot of a home's enclosure.",
            fields={"zone": f"Give one of {named}."},
        )
    since = readings_since(enclosure=enclosure, at=at)
    read = read_home_file(
        data,
        file_name=file_name,
        channel=channel,
        answers=answers,
        clock=ZoneInfo(enclosure.time_zone),
        since_s=int(since.timestamp()),
        until=at,
    )
    values = {
        (
            zone.value,
            row.quantity.value,
            datetime.fromtimestamp(row.at_s, UTC),
        ): row.milli
        for row in read.rows
    }
    return read, _keep(enclosure, values, file_name=read.name, by=by, at=at)


def _keep(
    enclosure: HomeEnclosure,
    values: dict[_Key, int],
    *,
    file_name: str,
    by: User | None,
    at: datetime,
) -> Taken:
    """Store what is new, once; of two values of one instant the first one stays."""
    HomeEnclosure.objects.select_for_update(no_key=True).get(pk=enclosure.pk)
    there = _there(enclosure, values)
    new = {key: milli for key, milli in values.items() if key not in there}
    kept = enclosure.readings.count()
    if kept + len(new) > MOST_READINGS:
        raise TooManyReadingsError(
            f"{len(new)} readings are too many beside the {kept} that are kept; up to "
            f"{MOST_READINGS} are. Export fewer days, or one value every five minutes."
        )
    HomeReading.objects.bulk_create(
        [
            HomeReading(
                enclosure=enclosure,
                zone=zone,
                quantity=quantity,
                at=when,
                value_milli=milli,
                file_name=file_name,
                recorded_at=at,
            )
            for (zone, quantity, when), milli in new.items()
        ],
        batch_size=_AT_ONCE,
    )
    known = sum(there.get(key) == milli for key, milli in values.items())
    taken = Taken(len(new), known, len(values) - len(new) - known)
    # A file's name may name a person, so the trail does not have it.
    after = {"stored": taken.stored, "known": taken.known, "from_file": bool(file_name)}
    audit.record(enclosure, verb="add_home_readings", by=by, at=at, after=after)
    return taken


def _there(enclosure: HomeEnclosure, keys: Iterable[_Key]) -> dict[_Key, int]:
    instants = [at for _, _, at in keys]
    if not instants:
        return {}
    rows = enclosure.readings.filter(at__gte=min(instants), at__lte=max(instants))
    return {
        (zone, quantity, at): milli
        for zone, quantity, at, milli in rows.values_list(
            "zone", "quantity", "at", "value_milli"
        ).iterator()
    }
