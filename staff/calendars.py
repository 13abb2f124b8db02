"""The calendar feed: read by a secret address, without signing in."""

from hashlib import sha256
from http import HTTPStatus

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_safe

from core.calendars import verify_address
from placements.queries.feeds import feed_for
from staff.doors import open_to_everybody
from staff.throttling import WAIT_S, count_failure, is_held


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
