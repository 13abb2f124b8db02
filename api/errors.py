"""Every refusal as one body: RFC 9457, `application/problem+json`."""

from collections.abc import Mapping
from http import HTTPStatus
from typing import Annotated, Any

from django.http import Http404, HttpRequest, HttpResponse
from msgspec import Meta
from msgspec.structs import replace
from rest_framework import exceptions
from rest_framework.response import Response

from api.renderers import encode
from api.structs import Out
from core.errors import DomainError, NotFoundError

PROBLEM = "application/problem+json"


class Problem(Out, frozen=True):
    """Why something was refused."""

    title: Annotated[str, Meta(description="The status in words.")]
    status: Annotated[int, Meta(ge=400, le=599, description="The HTTP status.")]
    code: Annotated[str, Meta(description="Stable, for scripts: `lower_snake`.")]
    detail: Annotated[
        str, Meta(description="What was refused, why, and what would be accepted.")
    ]
    fields: Annotated[
        dict[str, str],
        Meta(description="What would be accepted, by the input that it is about."),
    ] = {}
    confirm: Annotated[
        str | None,
        Meta(description="Where to send it with a reason, if it is right after all."),
    ] = None
    type: str = "about:blank"


class RefusedError(exceptions.APIException):
    """A request that cannot be taken as it is."""

    status_code = HTTPStatus.BAD_REQUEST

    def __init__(
        self,
        code: str,
        sentence: str,
        *,
        fields: Mapping[str, str] | None = None,
        status: HTTPStatus = HTTPStatus.BAD_REQUEST,
    ) -> None:
        """Keep the sentence, and which input each part of it is about."""
        super().__init__(sentence, code)
        self.status_code = status
        self.fields = dict(fields or {})


def problem(error: Exception, context: Mapping[str, Any]) -> Response | None:
    """Return the answer to an error, or None where it is a fault of the program."""
    body = _told(error)
    if body is None:
        return None
    confirm = _confirmable(context).get(body.code)
    answer = Response(
        replace(body, confirm=confirm), status=body.status, content_type=PROBLEM
    )
    for name, value in _headers(error).items():
        answer[name] = value
    return answer


def _told(error: Exception) -> Problem | None:
    if isinstance(error, NotFoundError):
        return told(HTTPStatus.NOT_FOUND, error.code, error.sentence)
    if isinstance(error, DomainError):
        return told(HTTPStatus.CONFLICT, error.code, error.sentence, error.fields)
    if isinstance(error, Http404):
        return told(
            HTTPStatus.NOT_FOUND,
            "not_found",
            "There is nothing of that number here, or it is not yours to see.",
        )
    if isinstance(error, exceptions.APIException):
        return told(
            HTTPStatus(error.status_code),
            _code(error),
            str(error.detail),
            getattr(error, "fields", {}),
        )
    return None


def told(
    status: HTTPStatus,
    code: str,
    sentence: str,
    fields: Mapping[str, str] | None = None,
) -> Problem:
    """Return a problem's body."""
    return Problem(
        title=status.phrase,
        status=status.value,
        code=code,
        detail=sentence,
        fields=dict(fields or {}),
    )


def _code(error: exceptions.APIException) -> str:
    codes = error.get_codes()
    return str(codes) if isinstance(codes, str) else str(error.default_code)


def _headers(error: Exception) -> dict[str, str]:
    headers = {}
    if challenge := getattr(error, "auth_header", None):
        headers["WWW-Authenticate"] = str(challenge)
    if wait := getattr(error, "wait", None):
        headers["Retry-After"] = str(int(wait) + 1)
    return headers


def _confirmable(context: Mapping[str, Any]) -> dict[str, str]:
    found: dict[str, str] = getattr(context.get("view"), "confirmable", {})
    return found


def server_error(request: HttpRequest) -> HttpResponse:
    """Answer a fault of the program; the log has the rest, the answer has nothing."""
    body = told(
        HTTPStatus.INTERNAL_SERVER_ERROR,
        "server_error",
        "The program failed; nothing of this request was stored. It is in the log "
        f"under {request.method} {request.path}.",
    )
    return HttpResponse(encode(body), status=body.status, content_type=PROBLEM)
