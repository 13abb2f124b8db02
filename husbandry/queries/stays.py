"""Who stays where, and where an animal has been."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet

from core.models import Site
from husbandry.models import Animal, Enclosure, Stay


@dataclass(frozen=True, slots=True)
class StayLine:
    """One stay as people read it; `until_at` None: still."""

    id: int
    enclosure: str
    room: str
    site: str
    place: int | None
    from_at: datetime
    until_at: datetime | None
    moved_by: str
    reason: str


def stays_from(*, enclosure: Enclosure, from_at: datetime) -> QuerySet[Stay]:
    """Return the stays in an enclosure that last beyond an instant, with animals."""
    return (
        Stay.objects.filter(
            Q(until_at__isnull=True) | Q(until_at__gt=from_at), enclosure=enclosure
        )
        .select_related("animal")
        .order_by("from_at", "pk")
    )


def current_stays(*, animal_ids: Collection[int]) -> dict[int, Stay]:
    """Return the open stay of each animal that has one, with its place; one query."""
    rows = Stay.objects.filter(
        animal__in=animal_ids, until_at__isnull=True
    ).select_related("enclosure__room__site")
    return {row.animal_id: row for row in rows}


def stay_history(*, animal_id: int) -> tuple[StayLine, ...]:
    """Return every stay of an animal, newest first; one query."""
    rows = (
        Stay.objects.filter(animal=animal_id)
        .select_related("enclosure__room__site", "moved_by")
        .order_by("-from_at")
    )
    return tuple(
        StayLine(
            id=row.pk,
            enclosure=row.enclosure.code,
            room=row.enclosure.room.name,
            site=row.enclosure.room.site.name,
            place=row.place,
            from_at=row.from_at,
            until_at=row.until_at,
            moved_by=str(row.moved_by or ""),
            reason=row.reason,
        )
        for row in rows
    )


def site_of(*, animal: Animal, at: datetime) -> Site | None:
    """Return the site at which an animal was at an instant, or last before it.

    None: it had no enclosure until then.
    """
    stay = last_stay(animal=animal, at=at)
    return stay.enclosure.room.site if stay else None


def last_stay(*, animal: Animal, at: datetime) -> Stay | None:
    """Return an animal's stay at an instant, or its last before; with its place."""
    return (
        Stay.objects.filter(animal=animal, from_at__lte=at)
        .select_related("enclosure__room__site")
        .order_by("-from_at")
        .first()
    )


def zone_of(*, animal: Animal, at: datetime) -> ZoneInfo:
    """Return the time zone where an animal was at an instant; UTC if nowhere."""
    site = site_of(animal=animal, at=at)
    return ZoneInfo(site.time_zone if site else "UTC")


def local_day_of(*, animal: Animal, at: datetime) -> date:
    """Return the local day of an instant where an animal was; in UTC if nowhere."""
    return at.astimezone(zone_of(animal=animal, at=at)).date()
