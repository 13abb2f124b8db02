"""Pages by cursor: stable while rows come and go, and no count of what nobody asks."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

from django.core import signing
from rest_framework.pagination import BasePagination
from rest_framework.response import Response

from api.errors import RefusedError
from api.orderings import Ordering, after, ordered
from api.structs import Paged

if TYPE_CHECKING:
    from django.db.models import QuerySet
    from rest_framework.request import Request
    from rest_framework.views import APIView

SALT = "api.cursor"


class Cursor(BasePagination):
    """Goes on after the last row of the page before, by the view's ordering.

    The ordering's columns are unique together. The cursor is signed and says which
    ordering it is of: one that was altered or belongs to another is refused, so its
    values need no checking.
    """

    next: str | None = None

    def paginate_queryset(
        self, queryset: Any, request: "Request", view: "APIView | None" = None
    ) -> list[Any]:
        """Return the rows of one page of a queryset."""
        asked, ordering = _asked(view), _ordering(view)
        rows: QuerySet[Any] = ordered(queryset, ordering)
        if asked.cursor is not None:
            values = _values(asked.cursor, ordering)
            rows = rows.filter(after(rows.model, ordering, values))
        found = list(rows[: asked.page_size + 1])
        page = found[: asked.page_size]
        if len(found) > len(page):
            values = [getattr(page[-1], name.lstrip("-")) for name in ordering]
            self.next = _address(request, _cursor(ordering, values))
        return page

    def get_paginated_response(self, data: Any) -> Response:
        """Return a page and where the next one is."""
        return Response({"next": self.next, "results": data})


def _asked(view: Any) -> Paged:
    asked: Paged = view.asked
    return asked


def _ordering(view: Any) -> Ordering:
    ordering: Ordering = view.order
    return ordering


def _cursor(ordering: Ordering, values: Sequence[Any]) -> str:
    plain = [v if v is None or isinstance(v, int) else str(v) for v in values]
    # Without the time of signing: the same page has to be the same bytes tomorrow.
    return signing.Signer(salt=SALT).sign_object([list(ordering), plain])


def _values(cursor: str, ordering: Ordering) -> list[Any]:
    try:
        given, values = signing.Signer(salt=SALT).unsign_object(cursor)
    except (signing.BadSignature, ValueError):
        given, values = None, []
    if given != list(ordering):
        raise RefusedError(
            "bad_cursor",
            "This cursor is not one of this list. Take `next` as the page before gave "
            "it, or leave the cursor out to begin at the first page.",
            fields={"cursor": "as in `next`"},
        )
    return list(values)


def _address(request: "Request", cursor: str) -> str:
    given = {k: v for k, v in request.query_params.items() if k != "cursor"}
    query = urlencode({**given, "cursor": cursor})
    return request.build_absolute_uri(f"{request.path}?{query}")
