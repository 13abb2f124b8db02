"""What is answered when the program fails, by the door that was used."""

from django.http import HttpRequest, HttpResponse
from django.views import defaults

from api.errors import server_error as api_server_error


def server_error(request: HttpRequest) -> HttpResponse:
    """Answer a fault of the program: a problem to machines, a page to people."""
    if request.path.startswith("/api/"):
        return api_server_error(request)
    return defaults.server_error(request)
