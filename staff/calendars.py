"""The calendar feed: read by a secret address, without signing in."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from http import HTTPStatus

from django.core.cache import cache
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_safe

from clutches.queries.calendars import breeding_calendar
from core.calendars import verify_address
from core.events import Event
from core.feeds import write_feed
from core.models import Organisation, User
from core.roles import Permission
from husbandry.queries.calendars import care_calendar
from placements.queries.calendars import after_calendar
from staff.doors import open_to_everybody
from staff.throttling import WAIT_S, count_failure, is_held

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


@open_to_everybody
@require_safe
def calendar(request: HttpRequest, address: str) -> HttpResponseBase:
    """Give the calendar to whoever has a good address; nobody learns why not."""
    who = {
        "name": f"calendar {address.partition('_')[0]}",
        "address": request.META.get("REMOTE_ADDR", ""),
    }
    if is_held(**who):
        return HttpResponse(
            "Too many wrong addresses; wait.\n",
            status=HTTPStatus.TOO_MANY_REQUESTS,
            content_type="text/plain",
            headers={"Retry-After": str(WAIT_S)},
        )
    now = timezone.now()
    reader = verify_address(address, at=now)
    if reader is None:
        count_failure(**who)
        raise Http404("There is no calendar at this address.")
    return _answer(request, feed_for(reader, at=now))


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


def _answer(request: HttpRequest, feed: bytes) -> HttpResponseBase:
    etag = f'"{sha256(feed).hexdigest()[:32]}"'
    answer = HttpResponse(
        feed,
        content_type="text/calendar; charset=utf-8",
        headers={
            "ETag": etag,
            "Cache-Control": "private, no-cache",
            "Content-Disposition": 'inline; filename="care.ics"',
            "X-Robots-Tag": "noindex",
        },
    )
    return get_conditional_response(request, etag=etag, response=answer) or answer
