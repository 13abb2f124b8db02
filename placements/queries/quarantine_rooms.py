"""Where animals in quarantine were, whom they met there, and who lives there now."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Q

from husbandry.models import Quarantine, Stay
from placements.rules.quarantine.clock import joined
from placements.rules.quarantine.values import KeptApart, Lodging, Visit

# A local day reaches so far beyond the same day in UTC, anywhere on earth.
_A_DAY = timedelta(days=1)
_COLUMNS = (
    "animal_id",
    "animal__code",
    "enclosure__code",
    "enclosure__room_id",
    "enclosure__room__name",
    "enclosure__room__quarantine",
    "enclosure__room__site_id",
    "enclosure__room__site__time_zone",
    "from_at",
    "until_at",
)


@dataclass(frozen=True, slots=True)
class Stayed:
    """One stay, with its room, in local days of its site."""

    animal: int
    code: str
    enclosure: str
    keeps_apart: bool
    site: int
    zone: ZoneInfo
    visit: Visit

    def lasts_beyond(self, on: date) -> bool:
        """Say whether the animal was there at the end of a local day."""
        until_on = self.visit.until_on
        return self.visit.from_on <= on and (until_on is None or until_on > on)


def kept_apart_since(*, since: date, on: date) -> tuple[KeptApart, ...]:
    """Return every quarantine that held on some day from one until another; one query.

    Args:
        since: the first of these days.
        on: the last.
    """
    rows = Quarantine.objects.filter(
        Q(ended_on__isnull=True) | Q(ended_on__gte=since), began_on__lte=on
    ).order_by("pk")
    return tuple(
        KeptApart(*row)
        for row in rows.values_list(
            "pk", "animal_id", "animal__code", "group", "began_on", "ended_on"
        )
    )


def stays_of(
    *, animal_ids: Collection[int], since: date, on: date
) -> dict[int, list[Stayed]]:
    """Return the stays of animals that touch some days, oldest first; one query.

    Args:
        animal_ids: whose; those without a stay are absent.
        since: the first of these days.
        on: the last.
    """
    return _by_animal(
        Q(animal__in=animal_ids)
        & (Q(until_at__isnull=True) | Q(until_at__gte=_instant(since) - _A_DAY)),
        on,
    )


def visits_of(stays: Mapping[int, Sequence[Stayed]]) -> dict[int, tuple[Visit, ...]]:
    """Return in which rooms animals were, by animal."""
    return {animal: joined(s.visit for s in rows) for animal, rows in stays.items()}


def lodgings_of(
    stays: Mapping[int, Sequence[Stayed]], *, kept: Collection[int], on: date
) -> dict[int, Lodging]:
    """Return where animals live at the end of a local day, and with whom; one query.

    Args:
        stays: of those in quarantine, oldest first.
        kept: keys of all animals that are in quarantine on that day, anywhere.
        on: the day.

    Returns:
        By animal; one that is in no enclosure is absent.
    """
    last = {animal: rows[-1] for animal, rows in stays.items()}
    lived = {animal: stay for animal, stay in last.items() if stay.lasts_beyond(on)}
    rooms = {stay.visit.room for stay in lived.values()}
    others: dict[int, set[str]] = defaultdict(set)
    there = Q(enclosure__room__in=rooms) & (
        Q(until_at__isnull=True) | Q(until_at__gte=_instant(on))
    )
    for rows in _by_animal(there, on).values():
        for stay in rows:
            if stay.animal not in kept and stay.lasts_beyond(on):
                others[stay.visit.room].add(stay.code)
    return {
        animal: Lodging(
            enclosure=stay.enclosure,
            room=stay.visit.room_name,
            site=stay.site,
            keeps_apart=stay.keeps_apart,
            others=tuple(sorted(others[stay.visit.room])),
        )
        for animal, stay in lived.items()
    }


def _by_animal(which: Q, on: date) -> dict[int, list[Stayed]]:
    found: dict[int, list[Stayed]] = defaultdict(list)
    rows = Stay.objects.filter(which, from_at__lt=_instant(on) + 2 * _A_DAY)
    for row in rows.order_by("from_at", "pk").values(*_COLUMNS):
        stay = _stayed(row)
        if stay.visit.from_on <= on:
            found[stay.animal].append(stay)
    return found


def _stayed(row: Mapping[str, Any]) -> Stayed:
    zone = ZoneInfo(row["enclosure__room__site__time_zone"])
    until_at: datetime | None = row["until_at"]
    visit = Visit(
        room=row["enclosure__room_id"],
        room_name=row["enclosure__room__name"],
        from_at=row["from_at"],
        from_on=row["from_at"].astimezone(zone).date(),
        until_at=until_at,
        until_on=until_at.astimezone(zone).date() if until_at else None,
    )
    return Stayed(
        animal=row["animal_id"],
        code=row["animal__code"],
        enclosure=row["enclosure__code"],
        keeps_apart=row["enclosure__room__quarantine"],
        site=row["enclosure__room__site_id"],
        zone=zone,
        visit=visit,
    )


def _instant(on: date) -> datetime:
    """Return the midnight of a day in UTC, near enough for rows looked at again."""
    return datetime.combine(on, time.min, UTC)
