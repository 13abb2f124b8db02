"""The page that a packet's code leads to: is it what is on record, is it the newest."""

from http import HTTPStatus

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from placements.queries.packet_checks import check_packet
from staff.doors import open_to_everybody
from staff.public_pages import house
from staff.throttling import WAIT_S, count_failure, is_held

NAME = "packet check"


@open_to_everybody
@require_safe
def check(request: HttpRequest, number: str, digits: str) -> HttpResponse:
    """Say whether a packet is on record as it was printed; never what it says."""
    who = {"name": NAME, "address": request.META.get("REMOTE_ADDR", "")}
    if is_held(**who):
        answer = _page(request, HTTPStatus.TOO_MANY_REQUESTS, {"minutes": WAIT_S // 60})
        answer.headers["Retry-After"] = str(WAIT_S)
        return answer
    found = check_packet(number=number, digits=digits.lower())
    if found is None:
        count_failure(**who)
        return _page(request, HTTPStatus.NOT_FOUND, {"number": number[:20]})
    return _page(request, HTTPStatus.OK, {"found": found})


def _page(
    request: HttpRequest, status: HTTPStatus, context: dict[str, object]
) -> HttpResponse:
    answer = render(
        request, "staff/packet_check.html", {"house": house(), **context}, status=status
    )
    answer.headers["Cache-Control"] = "no-store"
    answer.headers["X-Robots-Tag"] = "noindex, nofollow"
    return answer
