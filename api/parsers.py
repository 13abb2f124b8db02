"""The body of a request: bytes of JSON or a file, not read beyond what is taken.

Any of them may come compressed by gzip.
"""

from collections.abc import Mapping
from http import HTTPStatus
from typing import Any

from django.conf import settings
from rest_framework.parsers import BaseParser

from api.compression import read_encoded
from api.errors import RefusedError

UTF_8 = "utf-8"


class Body(BaseParser):
    """JSON as it came; the handler says as what it is to be read."""

    media_type = "application/json"
    part = "json"

    def parse(
        self,
        stream: Any,
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Mapping[str, bytes]:
        """Return the bytes, under the name of their part.

        Raises:
            RefusedError: there are too many, they are said to be no UTF-8, or they
                cannot be unpacked.
        """
        request = (parser_context or {})["request"]
        _check_charset(request.content_params.get("charset", UTF_8))
        size, most = int(request.META["CONTENT_LENGTH"]), _most()
        if size > most:
            raise RefusedError(
                "too_large",
                f"The body has {size:,} bytes; at most {most:,} are taken. Send it in "
                "parts.",
                status=HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
            )
        encoding = request.META.get("HTTP_CONTENT_ENCODING", "")
        return {self.part: read_encoded(stream, encoding=encoding, most=most)}


class FileBody(Body):
    """A file as it came; the handler finds out what is in it."""

    part = "file"


class CsvBody(FileBody):
    """A table, or a spreadsheet that says that it is one."""

    media_type = "text/csv"


class YamlBody(FileBody):
    """A document of YAML (RFC 9512), word for word."""

    media_type = "application/yaml"


class JsonFileBody(FileBody):
    """A document of JSON, word for word."""

    media_type = "application/json"


class JpegBody(FileBody):
    """A photograph."""

    media_type = "image/jpeg"


class PngBody(FileBody):
    """A photograph, or a picture of a screen."""

    media_type = "image/png"


class NdjsonBody(Body):
    """JSON, one value a line."""

    media_type = "application/x-ndjson"
    part = "ndjson"


class CsvRowsBody(Body):
    """A table with a header, each row by itself."""

    media_type = "text/csv"
    part = "csv"


class MsgpackBody(Body):
    """What JSON would say, in binary."""

    media_type = "application/msgpack"
    part = "msgpack"


class VendorMsgpackBody(MsgpackBody):
    """The same, by its registered name."""

    media_type = "application/vnd.msgpack"


def _check_charset(charset: str) -> None:
    if charset.lower() not in {UTF_8, "utf8", "us-ascii"}:
        raise RefusedError(
            "unsupported_charset",
            f"The body is said to be {charset!r}; accepted is UTF-8. "
            "Save it so, and leave the charset out.",
            fields={"Content-Type": "the same, in UTF-8"},
            status=HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
        )


def _most() -> int:
    return int(settings.DATA_UPLOAD_MAX_MEMORY_SIZE or 0)
