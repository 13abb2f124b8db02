"""What all views share: one way to be asked, and lists that are read in pages."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, ClassVar, Generic, TypeVar

from django.db.models import Model, QuerySet
from django.http import QueryDict
from django.shortcuts import get_object_or_404
from rest_framework.exceptions import NotFound
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.answering import Answering, dress
from api.filters import FilterSet
from api.inputs import read_query
from api.list_parameters import chosen, field_names, offered, read_fields
from api.orderings import read_ordering
from api.pagination import Cursor
from api.permissions import NO_ACTION, Needed
from api.searching import search
from api.structs import Asked, Out, Paged, from_row
from core.models import User

M = TypeVar("M", bound=Model)
N = TypeVar("N", bound=Model)


class Door(Answering):
    """One address and its actions; each mapping is by the action's name.

    Attributes:
        permissions: who may; an action that is not in it is refused.
        asks: its query parameters; an action that is not in it takes none, or a page's.
        takes: its body, a type; of several in a tuple it is one; by media type where
            it is not just JSON. Bytes are a file.
        gives: its answer, a type; by status where it is not just 200. Bytes are a file.
        paged: the actions that answer page by page.
        confirmable: where to confirm what was refused, by the refusal's code.
        optional_bodies: the actions whose body may be left out.
        plural: what the address lists, for its description.
        for_devices: the actions that a device's token may call, counted by the rate
            for readings.
        examples: what an answer that is a file looks like, for its description.
    """

    permissions: ClassVar[Mapping[str, Needed]] = {}
    asks: ClassVar[Mapping[str, type[Asked]]] = {}
    takes: ClassVar[Mapping[str, Any]] = {}
    gives: ClassVar[Mapping[str, Any]] = {}
    paged: ClassVar[frozenset[str]] = frozenset()
    confirmable: ClassVar[Mapping[str, str]] = {}
    optional_bodies: ClassVar[frozenset[str]] = frozenset()
    plural: ClassVar[str] = ""
    for_devices: ClassVar[frozenset[str]] = frozenset()
    examples: ClassVar[Mapping[str, str]] = {}
    lookup_url_kwarg: str | None = "id"
    lookup_value_regex = "[0-9]{1,18}"
    asked: Asked

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Read the query parameters of a request that may go on."""
        super().initial(request, *args, **kwargs)
        if self.action not in NO_ACTION:
            self.ask(request.query_params)
            self.surround(request)

    def ask(self, given: QueryDict) -> None:
        """Read the query parameters of the action."""
        self.asked = read_query(given, self.wanted, filters=self.filters)

    def check_permissions(self, request: Request) -> None:
        """Count the request before anything can refuse it."""
        super().check_throttles(request)
        super().check_permissions(request)

    def check_throttles(self, request: Request) -> None:
        """Count nothing: it was counted before the permissions."""

    @property
    def wanted(self) -> type[Asked]:
        """Return what the action asks, but for what narrows its list."""
        usual = Paged if self.action in self.paged else Asked
        return self.asks.get(self.action, usual)

    @property
    def filters(self) -> tuple[str, ...]:
        """Return the names of the parameters that narrow the action's list."""
        return ()

    @property
    def person(self) -> User:
        """Return who asks."""
        user = self.request.user
        assert isinstance(user, User)  # noqa: S101 - DeclaredPermission let nobody else in
        return user


class Listed(Door, GenericAPIView[M], Generic[M]):
    """Rows that are read as a list, page by page.

    Attributes:
        out: a row as it is answered.
        filterset_class: the query parameters that narrow the list.
        ordering: of the list; together unique.
        orderings: of other actions that answer in pages, by their names.
        searched: text columns that `search` looks in; each stands in every answer,
            and none tells of people outside, for addresses are written into logs.
        orderable: fields of every answer that the list can be ordered by.
    """

    paged = frozenset({"list"})
    out: ClassVar[type[Out]]
    filterset_class: ClassVar[type[FilterSet]]
    ordering: ClassVar[tuple[str, ...]] = ("id",)
    orderings: ClassVar[Mapping[str, tuple[str, ...]]] = {}
    searched: ClassVar[tuple[str, ...]] = ()
    orderable: ClassVar[tuple[str, ...]] = ()

    @property
    def filters(self) -> tuple[str, ...]:
        """Return the names of the list's filters."""
        return tuple(self.filterset_class.base_filters) if self.action == "list" else ()

    @property
    def wanted(self) -> type[Asked]:
        """Return what the action asks, with what all lists can be asked."""
        if self.action == "list":
            return offered(
                super().wanted,
                searched=self.searched,
                orderable=self.orderable,
                fields=self.fields,
            )
        return offered(super().wanted, fields=self.fields)

    @property
    def fields(self) -> tuple[str, ...]:
        """Return the names of the fields of the rows that the action answers."""
        reads = self.action == "retrieve" or self.action in self.paged
        return field_names(self.gives.get(self.action, self.out)) if reads else ()

    @property
    def order(self) -> tuple[str, ...]:
        """Return the ordering of the action's rows, as it is asked.

        Raises:
            RefusedError: it is not offered.
        """
        usual = self.orderings.get(self.action, self.ordering)
        text = getattr(self.asked, "ordering", None)
        if text is None:
            return usual
        return read_ordering(text, offered=self.orderable, usual=usual)

    def get_queryset(self) -> QuerySet[M]:
        """Return all rows that this person may see."""
        raise NotImplementedError

    def shown(self, rows: Sequence[M]) -> list[Any]:
        """Return rows as they are answered, in a fixed number of queries."""
        return [from_row(row, self.out) for row in rows]

    def page_of(
        self, rows: QuerySet[N], shown: Callable[[Sequence[N]], Sequence[Any]]
    ) -> Response:
        """Return one page of rows, as `shown` writes them."""
        cursor, choose = Cursor(), self.choosing()
        page = cursor.paginate_queryset(rows, self.request, view=self)
        return cursor.get_paginated_response([choose(row) for row in shown(page)])

    def choosing(self) -> Callable[[Any], Any]:
        """Return what leaves of an answered row only the fields that are asked for.

        Raises:
            RefusedError: there is no such field.
        """
        text = getattr(self.asked, "fields", None)
        if text is None:
            return lambda row: row
        names = read_fields(text, known=self.fields)
        return lambda row: chosen(row, names)

    def list(self, request: Request) -> Response:
        """Return one page of rows."""
        rows = self.filter_queryset(self.get_queryset())
        if words := getattr(self.asked, "search", None):
            rows = search(rows, words, columns=self.searched)
        return self.page_of(rows, self.shown)


class Rows(Listed[M]):
    """Rows that are read as a list, and one by its id."""

    def one(self) -> M:
        """Return the row that the address names.

        Raises:
            Http404: there is none that this person may see.
        """
        return get_object_or_404(self.get_queryset(), pk=self.kwargs["id"])

    def retrieve(self, request: Request, **kwargs: str) -> Response:
        """Return one row."""
        choose = self.choosing()
        return Response(choose(self.shown([self.one()])[0]))


class Nowhere(APIView):
    """Addresses that are none."""

    permission_classes = ()
    authentication_classes = ()
    schema = None

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Answer before anything else is looked at."""
        raise NotFound(
            f"There is no address {request.path}. Addresses end with a slash and are "
            "listed in /api/v1/schema/."
        )

    def finalize_response(
        self, request: Request, response: Any, *args: Any, **kwargs: Any
    ) -> Any:
        """Keep it from being kept: there may be such an address tomorrow."""
        answer = super().finalize_response(request, response, *args, **kwargs)
        dress(answer)
        return answer
