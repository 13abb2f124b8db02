"""Photographs that are sent and handed out."""

from typing import Any

from django.core.files.uploadedfile import UploadedFile
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request

from api.errors import RefusedError
from api.parsers import JpegBody, PngBody
from core.photographs import WANTED, check_bytes

PHOTOGRAPHS = (JpegBody, PngBody, MultiPartParser)
PRIVATE = {"Cache-Control": "private, max-age=3600", "Content-Disposition": "inline"}


def sent_photograph(request: Request) -> bytes:
    """Return a photograph as it was sent, not read where it is too large.

    Raises:
        RefusedError: none was sent.
        PhotographError: it is too large.
    """
    given: Any = request.data
    part = given.get("file")
    if isinstance(part, UploadedFile):
        check_bytes(part.size or 0)
        return bytes(part.read())
    if isinstance(part, bytes) and part:
        return part
    raise RefusedError(
        "no_body",
        f"A photograph is needed and none was sent: {WANTED}, as the body or as the "
        "part `file` of a form.",
        fields={"file": WANTED},
    )
