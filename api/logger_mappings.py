"""Logger mappings: how the files of each source are read, once somebody decided it."""

from collections.abc import Sequence
from http import HTTPStatus
from typing import Annotated, Any

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.filters import CharFilter, FilterSet
from api.inputs import read_body, sent
from api.structs import In, Instant, Out
from api.views import Rows
from core.roles import Permission
from husbandry.actions.imports import save_logger_mapping
from husbandry.models import LoggerMapping
from husbandry.rules.loggers.mapping import from_document

DOCUMENT = Annotated[
    dict[str, Any],
    Meta(
        description="Columns, units, clock and channels, as `logger-files/try/` "
        "answers them in `mapping`."
    ),
]


class LoggerMappingFilter(FilterSet):
    """Which mappings."""

    name = CharFilter(help_text="Name of the source.")

    class Meta:
        model = LoggerMapping
        fields = ["name"]


class LoggerMappingIn(In, frozen=True, kw_only=True):
    """How the files of one source are read."""

    name: Annotated[
        str, Meta(min_length=1, max_length=80, description="Name of the source.")
    ]
    document: DOCUMENT


class LoggerMappingOut(Out, frozen=True):
    """How the files of one source are read."""

    about = LoggerMapping
    id: int
    name: str
    document: DOCUMENT
    saved_by: Annotated[str | None, Meta(description="null: the program itself.")]
    saved_at: Instant


class LoggerMappings(Rows[LoggerMapping]):
    """By the names of their sources."""

    plural = "logger mappings"
    permissions = {
        "list": Permission.SEE_CONDITIONS,
        "retrieve": Permission.SEE_CONDITIONS,
        "create": Permission.RECORD_READINGS,
    }
    filterset_class = LoggerMappingFilter
    takes = {"create": LoggerMappingIn}
    gives = {"create": {HTTPStatus.CREATED: LoggerMappingOut}}
    out = LoggerMappingOut
    ordering = ("name", "id")
    searched = ("name",)
    orderable = ("id", "name", "saved_at")

    def get_queryset(self) -> QuerySet[LoggerMapping]:
        """Return all mappings."""
        return LoggerMapping.objects.select_related("saved_by")

    def shown(self, rows: Sequence[LoggerMapping]) -> list[LoggerMappingOut]:
        """Return mappings with who saved them."""
        return [
            LoggerMappingOut(
                id=row.pk,
                name=row.name,
                document=row.document,
                saved_by=str(row.saved_by) if row.saved_by else None,
                saved_at=row.saved_at,
            )
            for row in rows
        ]

    def create(self, request: Request) -> Response:
        """Keep how the files of one source are read; the one before is replaced.

        409 names the part that cannot be so, or that is still to be decided.
        """
        given = read_body(sent(request), LoggerMappingIn)
        row = save_logger_mapping(
            name=given.name,
            mapping=from_document(given.document),
            by=self.person,
            at=timezone.now(),
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)
