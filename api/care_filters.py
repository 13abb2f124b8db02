"""How lists of the care book are narrowed."""

from django.db.models import Exists, OuterRef, Q, QuerySet

from api.filters import (
    BooleanFilter,
    CharFilter,
    FilterSet,
    InstantFilter,
    on_record_by,
    on_record_from,
)
from api.inputs import unreadable
from husbandry.models import Stay
from husbandry.models.records import CareRecord


def room_filter(method: str) -> CharFilter:
    """Return a filter by a room, that a method of the filter set reads."""
    return CharFilter(
        method=method, help_text="Codes of the site and the room: `site/room`."
    )


def in_room(path: str, value: str) -> Q:
    """Return the condition of lying in a room.

    Args:
        path: to the room, from the rows.
        value: as it stands in the address.

    Raises:
        RefusedError: it is not the codes of a site and a room.
    """
    site, slash, room = value.partition("/")
    if not slash:
        raise unreadable("room", value, "site/room, by their codes")
    return Q(**{f"{path}__site__code": site, f"{path}__code": room})


class EntryFilter(FilterSet):
    """Which entries of the care book."""

    from_at = InstantFilter("at", "gte", help_text="First instant.")
    until_at = InstantFilter("at", "lt", help_text="Up to which.")
    in_force = BooleanFilter(
        "struck_at", "isnull", help_text="true: without those that were struck out."
    )
    recorded_from = on_record_from()
    recorded_by = on_record_by()


class AnimalEntryFilter(EntryFilter):
    """Which entries about animals, also by where these stayed at the instant."""

    animal = CharFilter("animal__code", help_text="Code of the animal.")
    enclosure = CharFilter(
        method="by_enclosure",
        help_text="Code of the enclosure in which the animal stayed then.",
    )
    room = room_filter("by_room")

    def by_enclosure(
        self, rows: QuerySet[CareRecord], name: str, value: str
    ) -> QuerySet[CareRecord]:
        """Return entries about those that stayed in an enclosure."""
        return rows.filter(_stayed(Q(enclosure__code=value)))

    def by_room(
        self, rows: QuerySet[CareRecord], name: str, value: str
    ) -> QuerySet[CareRecord]:
        """Return entries about those that stayed in a room."""
        return rows.filter(_stayed(in_room("enclosure__room", value)))


def _stayed(there: Q) -> Exists:
    at = OuterRef("at")
    still = Q(until_at__isnull=True) | Q(until_at__gt=at)
    return Exists(
        Stay.objects.filter(there, still, animal=OuterRef("animal"), from_at__lte=at)
    )
