"""Pages that a home opens by its private address, without signing in."""

from collections.abc import Callable
from functools import wraps
from http import HTTPStatus
from typing import Any

from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import render
from django.utils import timezone

from placements.actions.private_addresses import open_address
from staff.doors import Door
from staff.throttling import WAIT_S, count_failure, is_held

HEADERS = {
    # The address is the key: it is told to no other site, kept in no cache and found
    # by no search.
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
    "X-Robots-Tag": "noindex, nofollow",
}
PrivateView = Callable[..., HttpResponseBase]


def opens_by_address(view: PrivateView) -> Door:
    """Declare that a page is opened by the private address that its path names.

    Browsers that send no referrer send no origin either, so Django's check of forms
    would refuse every one of them. It is left out: the secret in the address is what
    lets a form in, not a cookie that a browser brings along by itself.

    Args:
        view: called with the request, the address's row, and what else the path
            names; see `private_page` for how it answers.
    """

    @wraps(view)
    def guarded(request: HttpRequest, address: str, **kwargs: Any) -> HttpResponseBase:
        return without_trace(_answer(view, request, address, **kwargs))

    return Door(guarded, None, csrf_exempt=True)


def without_trace(answer: HttpResponseBase) -> HttpResponseBase:
    """Return an answer with the headers of a page whose address is a secret."""
    for name, value in HEADERS.items():
        answer.headers[name] = value
    return answer


def _answer(
    view: PrivateView, request: HttpRequest, address: str, **kwargs: Any
) -> HttpResponseBase:
    # By what it begins with: so a stranger who guesses keeps no home from its page.
    who = {
        "name": f"home {address.partition('_')[0][:40]}",
        "address": request.META.get("REMOTE_ADDR", ""),
    }
    if is_held(**who):
        answer = render(
            request,
            "staff/no_private_page.html",
            {"minutes": WAIT_S // 60},
            status=HTTPStatus.TOO_MANY_REQUESTS,
        )
        answer.headers["Retry-After"] = str(WAIT_S)
        return answer
    row = open_address(text=address, at=timezone.now())
    if row is None:
        count_failure(**who)
        return render(
            request, "staff/no_private_page.html", status=HTTPStatus.NOT_FOUND
        )
    return view(request, row, **kwargs)
