"""Keys of requests that may be sent again (draft-ietf-httpapi-idempotency-key-header-07)."""

import re
from collections.abc import Iterable, Iterator
from hashlib import sha256
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.utils.crypto import salted_hmac
from django.utils.datastructures import MultiValueDict
from rest_framework.authentication import get_authorization_header
from rest_framework.request import Request

from api.errors import RefusedError
from core.answers import Caller
from core.models import User

NAME = "Idempotency-Key"
LONGEST = 255
SALT = "api.request_keys"
ACCEPTED = f"1 to {LONGEST} visible ASCII characters, in double quotes, such as a UUID"
# RFC 8941, 3.3.3, without blanks; or the same without its quotes, as many send it.
_QUOTED = re.compile(r'"((?:[\x21\x23-\x5b\x5d-\x7e]|\\["\\])+)"')
_BARE = re.compile(r"[\x21\x23-\x2b\x2d-\x3a\x3c-\x5b\x5d-\x7e]+")


def key_of(request: Request) -> str | None:
    """Return the key of a request, without the quotes; None where it has none.

    Raises:
        RefusedError: it cannot be read, or is too long.
    """
    text: str | None = request.headers.get(NAME)
    if text is None:
        return None
    quoted, bare = _QUOTED.fullmatch(text.strip()), _BARE.fullmatch(text.strip())
    key = re.sub(r"\\(.)", r"\1", quoted[1]) if quoted else bare[0] if bare else ""
    if not 1 <= len(key) <= LONGEST:
        raise RefusedError(
            "bad_key",
            f"{NAME}: {text[:LONGEST]!r} cannot be read; accepted is: {ACCEPTED}.",
            fields={NAME: ACCEPTED},
        )
    return key


def caller_of(request: Request, user: User) -> Caller:
    """Return whose key it is: each token's and each person's are their own."""
    if request.auth is None:
        return Caller(user, "signed in")
    # What stands before the secret names the token.
    words = get_authorization_header(request).decode("latin-1").split()[-1:]
    return Caller(user, "_".join("".join(words).split("_")[:2])[:40])


def digest_of(request: Request) -> str:
    """Return an HMAC of what makes it this request: method, address and body.

    Of a form its parts count, not the bytes: a boundary is another each time.
    """
    # Keyed: a body may hold a password, and the digest of that could be guessed.
    found = salted_hmac(SALT, "", algorithm="sha256")
    for part in (request.method, request.get_full_path(), *_parts(request.data)):
        data = part if isinstance(part, bytes) else str(part).encode()
        found.update(len(data).to_bytes(8, "big") + data)
    return found.hexdigest()


def _parts(data: Any) -> Iterator[bytes | str]:
    if isinstance(data, MultiValueDict):
        named: Iterable[tuple[str, list[Any]]] = data.lists()
    else:
        named = ((name, [value]) for name, value in data.items())
    for name, values in sorted(named):
        for value in values:
            yield name
            if isinstance(value, UploadedFile):
                yield value.name or ""
                yield _file_digest(value)
            else:
                yield value


def _file_digest(file: Any) -> bytes:
    found = sha256()
    for chunk in file.chunks():
        found.update(chunk)
    file.seek(0)
    return found.digest()
