"""Bodies that come compressed: gzip (RFC 1952), unpacked no further than is taken."""

import zlib
from http import HTTPStatus
from typing import Protocol

from api.errors import RefusedError

GZIP = ("gzip", "x-gzip")
"""RFC 9110, 8.4.1.3: a recipient treats the second as the first."""
PLAIN = ("", "identity")
_CHUNK = 64 * 1024
_WITH_GZIP_HEADER = 16 + zlib.MAX_WBITS


class Stream(Protocol):
    """What a body is read from."""

    def read(self, size: int = -1, /) -> bytes:
        """Return at most so many bytes; none at the end."""


def read_encoded(stream: Stream, *, encoding: str, most: int) -> bytes:
    """Return a body's bytes as they were before they were encoded.

    Args:
        stream: of the body.
        encoding: as `Content-Encoding` says.
        most: bytes that are taken, once unpacked. Nothing is unpacked beyond them,
            whatever the body says of its own size.

    Raises:
        RefusedError: another encoding (415), not sound (400), or too large (413).

    Source:
        RFC 9110, 8.4 and 15.5.16; RFC 1952.
    """
    name = encoding.strip().lower()
    if name in PLAIN:
        return bytes(stream.read())
    if name in GZIP:
        return _gunzipped(stream, most)
    raise RefusedError(
        "unsupported_encoding",
        f"Content-Encoding {encoding!r} is not taken; accepted is gzip, or none.",
        fields={"Content-Encoding": "gzip"},
        status=HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
        headers={"Accept-Encoding": "gzip"},
    )


def _gunzipped(stream: Stream, most: int) -> bytes:
    found = bytearray()
    member = None
    while waiting := stream.read(_CHUNK):
        while waiting:
            # Members follow one another (RFC 1952, 2.2); each has its own check sum.
            member = member or zlib.decompressobj(_WITH_GZIP_HEADER)
            found += _unpacked(member, waiting, most + 1 - len(found))
            if len(found) > most:
                raise _too_large(most)
            waiting = member.unconsumed_tail or member.unused_data
            member = None if member.eof else member
    if member is not None or not found:
        raise _unsound("it ends before its end")
    return bytes(found)


def _unpacked(member: "zlib._Decompress", packed: bytes, most: int) -> bytes:
    try:
        return member.decompress(packed, most)
    except zlib.error as error:
        raise _unsound(str(error)) from error


def _unsound(reason: str) -> RefusedError:
    return RefusedError(
        "malformed_gzip",
        f"The body is not gzip as Content-Encoding says: {reason}. Nothing of it was "
        "read; send it again whole, or without compression.",
    )


def _too_large(most: int) -> RefusedError:
    return RefusedError(
        "too_large",
        f"Unpacked, the body has more than {most:,} bytes, which is all that is taken. "
        "Send it in parts.",
        status=HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
    )
