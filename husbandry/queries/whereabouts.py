"""Where animals were at many instants, for the local days of what is recorded."""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from husbandry.models import Stay


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """The zones in which animals were, by animal, from which instant on, in order."""

    zones: Mapping[int, tuple[tuple[datetime, str], ...]]

    def local_day(self, animal_id: int, *, at: datetime) -> date:
        """Return the local day of an instant where an animal was or last was.

        Args:
            animal_id: the animal.
            at: the instant; before its first stay the day is told in UTC, as
                `husbandry.queries.stays.local_day_of` does.
        """
        return at.astimezone(self.zone_at(animal_id, at=at)).date()

    def zone_at(self, animal_id: int, *, at: datetime) -> ZoneInfo:
        """Return the zone in which an animal was or last was; UTC before that."""
        known = self.zones.get(animal_id, ())
        place = bisect_right(known, at, key=lambda stay: stay[0])
        return ZoneInfo(known[place - 1][1] if place else "UTC")


def whereabouts(*, animal_ids: Collection[int]) -> Whereabouts:
    """Return where animals were, ever since they came; one query."""
    zones: dict[int, list[tuple[datetime, str]]] = defaultdict(list)
    rows = (
        Stay.objects.filter(animal__in=animal_ids)
        .order_by("from_at", "pk")
        .values_list("animal_id", "from_at", "enclosure__room__site__time_zone")
    )
    for animal_id, from_at, zone in rows:
        zones[animal_id].append((from_at, zone))
    return Whereabouts({pk: tuple(known) for pk, known in zones.items()})
