"""What is answered before a view is reached or when one fails, by the door used.

Machines are told a problem (RFC 9457), people a page.
"""

from http import HTTPStatus

from django.core.exceptions import DisallowedHost, RequestDataTooBig, TooManyFieldsSent
from django.http import HttpRequest, HttpResponse
from django.views import csrf, defaults

from api.errors import server_error as api_server_error
from api.errors import written

MACHINES = "/api/"


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer a request that cannot be read at all."""
    if not request.path.startswith(MACHINES):
        return defaults.bad_request(request, exception)
    for kind, (status, code, sentence) in UNREADABLE.items():
        if isinstance(exception, kind):
            return written(status, code, sentence)
    return written(*OTHER)


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer what nobody may ask."""
    if not request.path.startswith(MACHINES):
        return defaults.permission_denied(request, exception)
    return written(
        HTTPStatus.FORBIDDEN, "permission_denied", "Nobody may ask for this."
    )


def page_not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer an address that is none."""
    if not request.path.startswith(MACHINES):
        return defaults.page_not_found(request, exception)
    return written(
        HTTPStatus.NOT_FOUND,
        "not_found",
        f"There is no address {request.path}. Addresses begin with /api/v1/, end with "
        "a slash and are listed in /api/v1/schema/.",
    )


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Answer a form that did not come from a page of this house."""
    if not request.path.startswith(MACHINES):
        return csrf.csrf_failure(request, reason=reason)
    return written(HTTPStatus.FORBIDDEN, "permission_denied", f"CSRF Failed: {reason}")


def server_error(request: HttpRequest) -> HttpResponse:
    """Answer a fault of the program."""
    if request.path.startswith(MACHINES):
        return api_server_error(request)
    return defaults.server_error(request)


# By what Django raised, the narrower before the wider.
UNREADABLE: dict[type[Exception], tuple[HTTPStatus, str, str]] = {
    DisallowedHost: (
        HTTPStatus.BAD_REQUEST,
        "unknown_host",
        "This installation does not answer to the name in the header Host. Use the "
        "name that it was given in SPURBOOK_HOSTS, or add yours there.",
    ),
    RequestDataTooBig: (
        HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
        "too_large",
        "The body has too many bytes. Send it in parts.",
    ),
    TooManyFieldsSent: (
        HTTPStatus.BAD_REQUEST,
        "too_many_parameters",
        "There are too many parameters or fields of a form; give each once.",
    ),
}
OTHER = (
    HTTPStatus.BAD_REQUEST,
    "bad_request",
    "The request cannot be read: a header, the address or the body is malformed. "
    "Nothing was done.",
)
