"""Files that are sent in, as the body or as the part `file` of a form."""

from http import HTTPStatus
from typing import Any

from rest_framework.request import Request

from api.errors import RefusedError


def file_sent(
    request: Request,
    *,
    what: str,
    most: int,
    hint: str,
    kind: str = "CSV or a spreadsheet",
) -> tuple[bytes, str]:
    """Return a file and its name.

    Args:
        request: parsed by a `FileBody` or as a form.
        what: it is called, with a capital letter.
        most: bytes that are taken.
        hint: what to do with a larger one.
        kind: what is taken, for the refusal of nothing.

    Raises:
        RefusedError: none was sent, or it is too large; it is not read then.
    """
    given: Any = request.data
    part = given.get("file")
    if part is None or isinstance(part, str) or part == b"":
        raise RefusedError(
            "no_body",
            f"{what} is needed and none was sent: {kind} as the body, or as the part "
            "`file` of a form.",
            fields={"file": kind},
        )
    size = len(part) if isinstance(part, bytes) else part.size
    if size > most:
        raise RefusedError(
            "too_large",
            f"The file has {size:,} bytes; at most {most:,} are taken. {hint}",
            status=HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
        )
    if isinstance(part, bytes):
        return part, "the file sent"
    return part.read(), part.name or "the file sent"
