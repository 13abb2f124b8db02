"""Where an animal lived, and in what."""

from collections.abc import Iterable
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Prefetch

from husbandry.models import Animal, Enclosure, Setup, Stay
from husbandry.rules.vocabulary import EnclosureKind
from placements.rules.packets.histories import StayLine
from placements.rules.packets.words import exact


def stays_of(animal: Animal, *, until: datetime) -> list[Stay]:
    """Return an animal's stays that began by then, first one first.

    Enclosure, room, site and the enclosure's set-ups come with them.

    Args:
        animal: whose.
        until: stays that began later are left out.
    """
    return list(
        Stay.objects.filter(animal=animal, from_at__lte=until)
        .select_related("enclosure__room__site")
        .prefetch_related(
            Prefetch("enclosure__setups", Setup.objects.order_by("from_on"))
        )
        .order_by("from_at")
    )


def stay_lines(stays: Iterable[Stay], *, zone: ZoneInfo) -> tuple[StayLine, ...]:
    """Return stays as a packet tells them, in local days of a zone."""
    return tuple(_stay(stay, zone) for stay in stays)


def _stay(stay: Stay, zone: ZoneInfo) -> StayLine:
    first, last = local_days(stay, zone)
    setup = _setup_on(stay.enclosure, first)
    return StayLine(
        enclosure=stay.enclosure.code,
        kind=EnclosureKind(stay.enclosure.kind),
        room=stay.enclosure.room.name,
        from_on=first,
        until_on=last,
        width_cm=exact(setup.width_cm) if setup else None,
        depth_cm=exact(setup.depth_cm) if setup else None,
        height_cm=exact(setup.height_cm) if setup else None,
    )


def local_days(stay: Stay, zone: ZoneInfo) -> tuple[date, date | None]:
    """Return the first and last local day of a stay; None: still there."""
    until_on = stay.until_at.astimezone(zone).date() if stay.until_at else None
    return stay.from_at.astimezone(zone).date(), until_on


def _setup_on(enclosure: Enclosure, on: date) -> Setup | None:
    standing = [s for s in enclosure.setups.all() if s.from_on <= on]
    return standing[-1] if standing else None
