"""Slow down those who guess passwords, without shutting anybody out for long.

Counted by name and address together: so a stranger cannot keep a keeper out of
the house by guessing at that keeper's name from elsewhere. The count lives in the
cache; with several server processes and no Redis each counts by itself.
"""

from hashlib import sha256

from django.core.cache import cache

MOST_FAILURES = 5
WAIT_S = 5 * 60


def is_held(*, name: str, address: str) -> bool:
    """Say whether a name has failed too often from an address lately."""
    return bool(cache.get(_key(name, address), 0) >= MOST_FAILURES)


def count_failure(*, name: str, address: str) -> None:
    """Note a failed attempt; the wait begins with the last one that counts."""
    key = _key(name, address)
    if not cache.add(key, 1, WAIT_S):
        try:
            cache.incr(key)
            cache.touch(key, WAIT_S)
        except ValueError:  # it expired in between
            cache.set(key, 1, WAIT_S)


def forget(*, name: str, address: str) -> None:
    """Forget the failures of one who has signed in."""
    cache.delete(_key(name, address))


def _key(name: str, address: str) -> str:
    text = f"{name.strip().casefold()}\n{address}"
    return f"sign-in:{sha256(text.encode()).hexdigest()}"
