"""Who stayed in a room or in some enclosures at an instant, for one entry for all."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from core.models import Room
from husbandry.models import Enclosure, Stay


@dataclass(frozen=True, slots=True)
class Housed:
    """An animal and the enclosure in which it stayed, by their codes."""

    animal: str
    enclosure: str


def housed_in_room(*, room: Room, at: datetime) -> tuple[Housed, ...]:
    """Return who stayed in a room at an instant, in walking order; one query.

    Args:
        room: all of its enclosures count.
        at: a stay that begins then counts, one that ends then does not.
    """
    return _housed(Q(enclosure__room=room), at)


def housed_in_enclosures(*, codes: Collection[str], at: datetime) -> tuple[Housed, ...]:
    """Return who stayed in enclosures at an instant, in walking order; one query.

    Args:
        codes: of the enclosures; one that there is not houses nobody.
        at: a stay that begins then counts, one that ends then does not.
    """
    return _housed(Q(enclosure__code__in=codes), at)


def unknown_enclosures(*, codes: Collection[str]) -> tuple[str, ...]:
    """Return the codes that no enclosure has, in the order given; one query."""
    rows = Enclosure.objects.filter(code__in=codes)
    known = set(rows.order_by().values_list("code", flat=True))
    return tuple(code for code in dict.fromkeys(codes) if code not in known)


def _housed(there: Q, at: datetime) -> tuple[Housed, ...]:
    still = Q(until_at__isnull=True) | Q(until_at__gt=at)
    rows = Stay.objects.filter(there, still, from_at__lte=at).order_by(
        *("enclosure__room__site__code", "enclosure__room__position"),
        *("enclosure__room__code", "enclosure__position", "enclosure__code"),
        "animal__code",
    )
    return tuple(
        Housed(animal, enclosure)
        for animal, enclosure in rows.values_list("animal__code", "enclosure__code")
    )
