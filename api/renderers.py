"""How answers are written."""

from collections.abc import Mapping
from typing import Any

import msgspec
from rest_framework.renderers import BaseRenderer

# A mass is a number in JSON, with the digits that are stored.
_ENCODER = msgspec.json.Encoder(decimal_format="number")


def encode(data: object) -> bytes:
    """Return an answer as JSON: instants in UTC, decimals exact."""
    return _ENCODER.encode(data)


class Json(BaseRenderer):
    """Structs and plain values as JSON."""

    media_type = "application/json"
    format = "json"
    charset = None

    def render(
        self,
        data: Any,
        accepted_media_type: str | None = None,
        renderer_context: Mapping[str, Any] | None = None,
    ) -> bytes:
        """Return the bytes; nothing for an answer without a body."""
        return b"" if data is None else encode(data)


class File(Json):
    """A file that is made already; a refusal is still written as JSON."""

    def render(
        self,
        data: Any,
        accepted_media_type: str | None = None,
        renderer_context: Mapping[str, Any] | None = None,
    ) -> bytes:
        """Return the file as it is."""
        if isinstance(data, bytes):
            return data
        return super().render(data, accepted_media_type, renderer_context)


class Pdf(File):
    """A paper."""

    media_type = "application/pdf"
    format = "pdf"


class Csv(File):
    """A table by RFC 4180."""

    media_type = "text/csv"
    format = "csv"


class Jpeg(File):
    """A photograph."""

    media_type = "image/jpeg"
    format = "jpg"


class Calendar(File):
    """A calendar by RFC 5545."""

    media_type = "text/calendar"
    format = "ics"


class NdJson(File):
    """A table as JSON, an object a line."""

    media_type = "application/x-ndjson"
    format = "ndjson"


class Parquet(File):
    """A table as Parquet."""

    media_type = "application/vnd.apache.parquet"
    format = "parquet"


class Zip(File):
    """Several files in one."""

    media_type = "application/zip"
    format = "zip"
