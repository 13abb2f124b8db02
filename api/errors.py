"""Every refusal as one body: RFC 9457, `application/problem+json`."""

from collections.abc import Mapping
from http import HTTPStatus
from typing import Annotated, Any

from django.db import OperationalError
from django.http import Http404, HttpRequest, HttpResponse
from msgspec import Meta
from msgspec.structs import asdict, replace
from rest_framework import exceptions
from rest_framework.response import Response

from api.renderers import encode
from api.structs import Out
from core.errors import DomainError, NotFoundError
from core.row_refusals import RowsRefusedError

PROBLEM = "application/problem+json"
# PostgreSQL: serialization failure, deadlock, lock not available.
OTHERS_WERE_FASTER = ("40001", "40P01", "55P03")


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


class RefusedRow(Out, frozen=True):
    """One row that was not taken."""

    index: Annotated[int, Meta(description="Its place in what was sent, from 0.")]
    code: Annotated[str, Meta(description="Stable, for scripts.")]
    sentence: Annotated[
        str, Meta(description="Which value, why not, what would be accepted.")
    ]


class RowsProblem(Problem, frozen=True):
    """Why nothing of a list was stored: the rows that stand against it."""

    rows: Annotated[
        tuple[RefusedRow, ...], Meta(description="Those that cannot be taken.")
    ] = ()


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
        headers: Mapping[str, str] | None = None,
    ) -> None:
        """Keep the sentence, which input each part is about, and its headers."""
        super().__init__(sentence, code)
        self.status_code = status
        self.fields = dict(fields or {})
        self.headers = dict(headers or {})


def problem(error: Exception, context: Mapping[str, Any]) -> Response | None:
    """Return the answer to an error, or None where it is a fault of the program."""
    body = _told(error)
    if body is None:
        return None
    body = _with_kinds(body, error, context.get("view"))
    confirm = _confirmable(context).get(body.code)
    answer = Response(
        replace(body, confirm=confirm), status=body.status, content_type=PROBLEM
    )
    for name, value in _headers(error).items():
        answer[name] = value
    return answer


def _told(error: Exception) -> Problem | None:
    if isinstance(error, OperationalError):
        return _busy(error)
    if isinstance(error, NotFoundError):
        return told(HTTPStatus.NOT_FOUND, error.code, error.sentence)
    if isinstance(error, RowsRefusedError):
        return _told_rows(error)
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


def _with_kinds(body: Problem, error: Exception, view: Any) -> Problem:
    """Add which kinds of body are taken or given here, where another was sent."""
    if isinstance(error, exceptions.UnsupportedMediaType):
        header, known = "Content-Type", view.get_parsers()
    elif isinstance(error, exceptions.NotAcceptable):
        header, known = "Accept", view.get_renderers()
    else:
        return body
    kinds = ", ".join(one.media_type for one in known)
    detail = f"{body.detail} Accepted is: {kinds}."
    return replace(body, detail=detail, fields={header: kinds})


def _busy(error: OperationalError) -> Problem | None:
    """Return that others were faster, where trying again helps; else it is a fault."""
    state = getattr(error.__cause__, "sqlstate", None)
    if state not in OTHERS_WERE_FASTER and "database is locked" not in str(error):
        return None
    return told(
        HTTPStatus.SERVICE_UNAVAILABLE,
        "busy",
        "Others were writing to the same at this moment. Nothing of this request was "
        "stored; send it again.",
    )


def _told_rows(error: RowsRefusedError) -> RowsProblem:
    body = told(HTTPStatus.CONFLICT, error.code, error.sentence)
    rows = (
        RefusedRow(index=r.place, code=r.code, sentence=r.sentence)
        for r in error.refusals
    )
    return RowsProblem(**asdict(body), rows=tuple(rows))


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
    headers = dict(getattr(error, "headers", {}))
    if challenge := getattr(error, "auth_header", None):
        headers["WWW-Authenticate"] = str(challenge)
    if wait := getattr(error, "wait", isinstance(error, OperationalError)):
        headers["Retry-After"] = str(int(wait) + 1)
    return headers


def _confirmable(context: Mapping[str, Any]) -> dict[str, str]:
    found: dict[str, str] = getattr(context.get("view"), "confirmable", {})
    return found


def server_error(request: HttpRequest) -> HttpResponse:
    """Answer a fault of the program; the log has the rest, the answer has nothing."""
    return written(
        HTTPStatus.INTERNAL_SERVER_ERROR,
        "server_error",
        "The program failed; nothing of this request was stored. It is in the log "
        f"under {request.method} {request.path}.",
    )


def written(status: HTTPStatus, code: str, sentence: str) -> HttpResponse:
    """Return a problem where there is no view to answer it."""
    return HttpResponse(
        encode(told(status, code, sentence)),
        status=status,
        content_type=PROBLEM,
        headers={"Cache-Control": "private, no-cache"},
    )
