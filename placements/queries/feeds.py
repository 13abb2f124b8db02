"""The calendar of the house, for one person: the entries of every room that they see."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from django.core.cache import cache

from clutches.queries.calendars import breeding_calendar
from core.events import Event
from core.feeds import write_feed
from core.models import Organisation, User
from core.roles import Permission
from husbandry.queries.calendars import care_calendar
from placements.queries.calendars import after_calendar

# Several phones of one house ask at once; the entries are made once for all of them.
KEPT_S = 5 * 60


@dataclass(frozen=True, slots=True)
class Source:
    """Where entries come from, and who may see them."""

    name: str
    permission: Permission
    events: Callable[[datetime], tuple[Event, ...]]


# Each room adds its own.
SOURCES = (
    Source("care", Permission.SEE_ANIMALS, lambda at: care_calendar(at=at)),
    Source("breeding", Permission.SEE_ANIMALS, lambda at: breeding_calendar(at=at)),
    Source("after", Permission.SEE_PLACEMENTS, lambda at: after_calendar(at=at)),
)


def feed_for(reader: User, *, at: datetime) -> bytes:
    """Return the calendar of what a person may see; made anew every five minutes.

    Args:
        reader: for whom.
        at: now; entries are stamped with the full hour, so that the file stays the
            same while nothing in it changes.
    """
    sources = [s for s in SOURCES if reader.may(s.permission)]
    key = "calendar:" + "+".join(source.name for source in sources)
    kept: bytes | None = cache.get(key)
    if kept is not None:
        return kept
    events = [event for source in sources for event in source.events(at)]
    house = Organisation.objects.first()
    name = f"Care – {house.name}" if house else "Care"
    stamp = at.replace(minute=0, second=0, microsecond=0)
    made = write_feed(events, name=name, at=stamp)
    cache.set(key, made, KEPT_S)
    return made
