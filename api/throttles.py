"""How often one key may ask: fixed windows, counted in the cache, told in headers.

The headers are those of draft-ietf-httpapi-ratelimit-headers-11. A request costs one
count and no query. Without Redis each server process counts by itself.
"""

import math
import time
from dataclasses import dataclass
from hashlib import sha256
from http import HTTPStatus
from typing import TYPE_CHECKING, Any

from django.conf import settings
from django.core.cache import cache
from rest_framework.throttling import BaseThrottle

from api.errors import RefusedError
from core.models import User

if TYPE_CHECKING:
    # DRF loads this module while it is loading its views.
    from rest_framework.request import Request
    from rest_framework.views import APIView

SAFE = ("GET", "HEAD", "OPTIONS")
OF_PREFIX, OF_ADDRESS = "wrong-token", "wrong-tokens"


@dataclass(frozen=True, slots=True)
class Limit:
    """What is left of one policy's quota for one key."""

    policy: str
    quota: int
    window_s: int
    left: int
    reset_s: int
    """Seconds until the quota is whole again, at least 1."""

    @property
    def headers(self) -> dict[str, str]:
        """Return what an answer says of it."""
        return {
            "RateLimit-Policy": f'"{self.policy}";q={self.quota};w={self.window_s}',
            "RateLimit": f'"{self.policy}";r={max(self.left, 0)};t={self.reset_s}',
        }


class TooManyError(RefusedError):
    """Somebody asks more often than is answered."""

    def __init__(self, limit: Limit, sentence: str) -> None:
        """Say when to come again."""
        super().__init__("throttled", sentence, status=HTTPStatus.TOO_MANY_REQUESTS)
        self.wait = limit.reset_s
        """`Retry-After` is a second later, so never before the window's end."""


class KeyThrottle(BaseThrottle):
    """So many requests a window for each token, or each person at a browser."""

    def allow_request(self, request: "Request", view: "APIView") -> bool:
        """Count a request and tell on the answer what is left.

        Raises:
            TooManyError: nothing is left.
        """
        limit = counted(_policy(request, view), _caller(request))
        view.headers.update(limit.headers)
        if limit.left < 0:
            raise TooManyError(
                limit,
                f"More than {limit.quota} requests of the kind “{limit.policy}” came "
                f"within {limit.window_s} s. Come again in {limit.reset_s} s.",
            )
        return True


def check_prefix(request: "Request", text: str) -> None:
    """Refuse a token of whose prefix too many were wrong from this address lately.

    Args:
        request: as it came.
        text: the token as it was sent; if it is refused, nobody looks it up.

    Raises:
        TooManyError: too many came.
    """
    key = _prefix_at_address(request, text)
    limit = _limit(OF_PREFIX, int(cache.get(_name(OF_PREFIX, key), 0)))
    if limit.left <= 0:
        raise _held(request, limit)


def count_wrong(request: "Request", text: str) -> None:
    """Note that a token was wrong, by its prefix and by the address it came from.

    Raises:
        TooManyError: too many wrong ones came from the address. Right ones still
            pass: an old token in a hub must not shut out the others of its house.
    """
    of_prefix = counted(OF_PREFIX, _prefix_at_address(request, text))
    of_address = counted(OF_ADDRESS, _address(request))
    if of_address.left < 0:
        raise _held(request, of_address)
    _tell(request, of_prefix)


def check_misses(request: "Request", policy: str) -> None:
    """Refuse to look again where too many looks from this address found nothing.

    Args:
        request: as it came.
        policy: one of `settings.API_RATES`.

    Raises:
        TooManyError: too many did.
    """
    key = _address(request)
    limit = _limit(policy, int(cache.get(_name(policy, key), 0)))
    if limit.left <= 0:
        raise TooManyError(
            limit,
            "Too much was asked for from this address that is not there. Come again in "
            f"{limit.reset_s} s.",
        )


def count_miss(request: "Request", policy: str) -> None:
    """Note that what was looked for from an address is not there."""
    counted(policy, _address(request))


def counted(policy: str, key: str) -> Limit:
    """Count one more and return what is left.

    Args:
        policy: one of `settings.API_RATES`.
        key: who is counted.
    """
    name = _name(policy, key)
    window_s = settings.API_RATES[policy][1]
    count = 1
    if not cache.add(name, 1, window_s):
        try:
            count = cache.incr(name)
        except ValueError:  # it went in between
            cache.set(name, 1, window_s)
    return _limit(policy, count)


def _limit(policy: str, count: int) -> Limit:
    quota, window_s = settings.API_RATES[policy]
    reset_s = math.ceil(window_s - time.time() % window_s)
    return Limit(policy, quota, window_s, quota - count, reset_s)


def _name(policy: str, key: str) -> str:
    """Return the cache's name for one window of one key; tokens are not in it."""
    window = int(time.time() // settings.API_RATES[policy][1])
    return f"rate:{policy}:{window}:{sha256(key.encode()).hexdigest()}"


def _policy(request: "Request", view: Any) -> str:
    if view.action in view.for_devices:
        return "ingest"
    return "read" if request.method in SAFE else "write"


def _caller(request: "Request") -> str:
    user = request.user
    if not isinstance(user, User):
        return f"address:{_address(request)}"
    if user.token is not None:
        return f"token:{user.token.pk}"
    return f"person:{user.pk}"


def _prefix_at_address(request: "Request", text: str) -> str:
    return f"{_address(request)} {text.split('_')[1:2]}"


def _address(request: "Request") -> str:
    """Return the address that is connected, behind as many proxies as are ours.

    What anybody may write into X-Forwarded-For counts for nothing.
    """
    connected = str(request.META.get("REMOTE_ADDR", ""))
    proxies: int = settings.PROXIES
    if not proxies:
        return connected
    told = request.META.get("HTTP_X_FORWARDED_FOR", "").split(",")
    hops = [hop.strip() for hop in told if hop.strip()]
    return hops[-proxies] if len(hops) >= proxies else connected


def _held(request: "Request", limit: Limit) -> TooManyError:
    _tell(request, limit)
    return TooManyError(
        limit,
        "Too many tokens that are not valid came from this address. Come again in "
        f"{limit.reset_s} s, with one that is.",
    )


def _tell(request: "Request", limit: Limit) -> None:
    view: APIView = request.parser_context["view"]
    view.headers.update(limit.headers)
