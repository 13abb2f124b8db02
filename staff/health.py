"""Whether the program and its database answer; for whatever watches the service."""

import logging

from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache

from core.health import ask_database
from staff.doors import open_to_everybody

logger = logging.getLogger(__name__)


@open_to_everybody
@never_cache
def healthz(request: HttpRequest) -> HttpResponse:  # noqa: ARG001 - a view takes one
    """Answer 200 `ok` where the database answers, else 503."""
    try:
        ask_database()
    except DatabaseError:
        logger.exception("the database does not answer")
        return HttpResponse("no database", status=503, content_type="text/plain")
    return HttpResponse("ok", content_type="text/plain")
