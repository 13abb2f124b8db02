"""Answers that are sent while they are made."""

from collections.abc import Generator, Iterator
from contextlib import closing, contextmanager
from http import HTTPStatus
from threading import Lock
from time import monotonic

from django.http import HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from rest_framework.request import Request

from api.errors import RefusedError

AT_ONCE = 2
"""In one process; each has a thread and a connection to the database to itself."""
LONGEST_S = 3600
"""A client that reads too slowly would keep these for good."""
RETRY_AFTER_S = 30


class TooSlowError(Exception):
    """A client has not read its answer in time; what it has of it is not whole."""


class TooManyError(RefusedError):
    """As many exports are being sent as one process sends at once."""

    wait = RETRY_AFTER_S

    def __init__(self) -> None:
        """Say when to come again."""
        super().__init__(
            "too_many_exports",
            f"{AT_ONCE} exports are being sent, which is as many as are sent at once. "
            f"Ask again in {RETRY_AFTER_S} seconds, and for one after the other.",
            status=HTTPStatus.TOO_MANY_REQUESTS,
        )


class _Running:
    """How many are being sent, in this process."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._count = 0

    def check(self) -> None:
        """Refuse one more where there are as many as may be."""
        with self._lock:
            if self._count >= AT_ONCE:
                raise TooManyError

    @contextmanager
    def one_more(self) -> Iterator[None]:
        """Count one for as long as it is being sent."""
        with self._lock:
            self._count += 1
        try:
            yield
        finally:
            with self._lock:
                self._count -= 1


RUNNING = _Running()


def streamed(
    request: Request, chunks: Generator[bytes, None, None], *, kind: str, name: str
) -> HttpResponseBase:
    """Return an answer that is made while it is sent.

    What fails on the way breaks the connection off: a client that sees the end of the
    answer has all of it. When the client goes away, `chunks` is closed.

    Args:
        request: what is answered.
        chunks: the answer in parts; nothing of it is made before it is asked for.
        kind: its media type.
        name: of the file.

    Raises:
        TooManyError: as many are being sent as this process sends at once.
    """
    headers = {
        "Content-Disposition": f'attachment; filename="{name}"',
        "Content-Type": kind,
        "Cache-Control": "private, no-store",
        "X-Accel-Buffering": "no",
    }
    if request.method == "HEAD":
        return HttpResponse(headers=headers)
    RUNNING.check()
    return StreamingHttpResponse(_sent(chunks), headers=headers)


def _sent(chunks: Generator[bytes, None, None]) -> Iterator[bytes]:
    """Yield chunks; closed early or broken off, what makes them is closed at once."""
    until_s = monotonic() + LONGEST_S
    with RUNNING.one_more(), closing(chunks):
        for chunk in chunks:
            if monotonic() > until_s:
                raise TooSlowError(f"It was not read within {LONGEST_S} seconds.")
            if chunk:
                yield chunk
