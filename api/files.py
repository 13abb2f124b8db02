"""Files that are sent in, as the body or as the part `file` of a form."""

from http import HTTPStatus
from typing import Any

from rest_framework.request import Request

from api.errors import RefusedError


def file_sent(
    request: Request, *, what: str, most: int, hint: str
) -> tuple[bytes, str]:
    """Return a file and its name.

    Args:
        request: parsed by `CsvBody` or as a form.
        what: it is called, with a capital letter.
        most: bytes that are taken.
        hint: what to do with a larger one.

    Raises:
        RefusedError: none was sent, or it is too large; it is not read then.
    """
    given: Any = request.data
    part = given.get("file")
    if isinstance(part, bytes) and part:
        return part, "the file sent"
    if part is None or isinstance(part, bytes | str):
        raise RefusedError(
            "no_body",
            f"{what} is needed and none was sent: CSV as the body, or as the part "
            "`file` of a form.",
            fields={"file": "CSV or a spreadsheet"},
        )
    if part.size > most:
        raise RefusedError(
            "too_large",
            f"The file has {part.size:,} bytes; at most {most:,} are taken. {hint}",
            status=HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
        )
    return part.read(), part.name or "the file sent"
