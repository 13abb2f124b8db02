"""Logger files: tried, taken in, and what became of those that were."""

from collections.abc import Sequence
from http import HTTPStatus
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from rest_framework.decorators import action
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from api.files import file_sent
from api.filters import BooleanFilter, CharFilter, FilterSet, InstantFilter
from api.logger_file_structs import (
    FileQuestionOut,
    ImportAsked,
    LoggerFileAsked,
    LoggerFileDetail,
    LoggerFileOut,
    LoggerFileTrialOut,
    answers,
    probe_for,
)
from api.parsers import CsvBody
from api.views import Rows
from core.roles import Permission
from husbandry.actions.imports import import_logger_file
from husbandry.models import ReadingImport
from husbandry.queries.logger_files import LoggerFile, look_at_file
from husbandry.rules.import_answers import ask
from husbandry.rules.import_reports import ImportReport, read_as
from husbandry.rules.loggers.mapping import to_document
from husbandry.rules.loggers.remarks import Question
from husbandry.rules.loggers.sheet import SIZE_LIMIT_BYTES
from husbandry.rules.loggers.vocabulary import Asked, Unit

FIRST_ROWS = 5
PARAMETERS = {
    Asked.DAY_ORDER: "day_order",
    Asked.QUANTITY: "columns",
    Asked.STAMP_COLUMN: "stamp_column",
    Asked.START_DATE: "starts_on",
    Asked.ZONE: "zone",
}


class LoggerFileFilter(FilterSet):
    """Which files."""

    accepted = BooleanFilter(help_text="false: refused whole.")
    sha256 = CharFilter(help_text="SHA-256 of the file.")
    from_at = InstantFilter("imported_at", "gte", help_text="First instant.")
    until_at = InstantFilter("imported_at", "lt", help_text="Up to which.")

    class Meta:
        model = ReadingImport
        fields = ["accepted", "sha256", "from_at", "until_at"]


class LoggerFiles(Rows[ReadingImport]):
    """The newest first; those that were refused whole too."""

    plural = "logger files"
    parser_classes = (CsvBody, MultiPartParser)
    permissions = {
        "list": Permission.SEE_CONDITIONS,
        "retrieve": Permission.SEE_CONDITIONS,
        "create": Permission.RECORD_READINGS,
        "trial": Permission.RECORD_READINGS,
    }
    asks = {"create": ImportAsked, "trial": LoggerFileAsked}
    filterset_class = LoggerFileFilter
    takes = {"create": bytes, "trial": bytes}
    # A file that is refused whole is on record, too.
    own_transactions = frozenset({"create"})
    gives = {
        "retrieve": LoggerFileDetail,
        "create": {HTTPStatus.CREATED: LoggerFileDetail},
        "trial": LoggerFileTrialOut,
    }
    out = LoggerFileOut
    ordering = ("-imported_at", "-id")
    searched = ("file_name",)
    orderable = ("id", "imported_at")

    def get_queryset(self) -> QuerySet[ReadingImport]:
        """Return all files, in lists without their reports."""
        rows = ReadingImport.objects.select_related("imported_by")
        return rows.defer("report") if self.action == "list" else rows

    def shown(self, rows: Sequence[ReadingImport]) -> list[LoggerFileOut]:
        """Return files without what became of each row."""
        return [LoggerFileOut(**_values(row)) for row in rows]

    def retrieve(self, request: Request, **kwargs: str) -> Response:
        """Show a file with what became of its rows."""
        return Response(_detail(self.one()))

    def create(self, request: Request) -> Response:
        """Take in a logger's file: all of its good rows, or nothing.

        CSV, text or a spreadsheet, as the body or as the part `file` of a form; what
        it is, is told by its content. A file that cannot be relied on is refused
        whole with 409, which is recorded. Where it does not say enough, 409 asks
        (`file_undecided`) and nothing is recorded: answer by query parameters. The
        same file sent again stores nothing twice.
        """
        asked, now = self.asked, timezone.now()
        assert isinstance(asked, ImportAsked)  # noqa: S101 - see `asks`
        data, name = _file(request, asked)
        import_logger_file(
            data=data,
            file_name=name,
            probe_for=probe_for(asked),
            answers=answers(asked),
            source_name=asked.source,
            save_as=asked.save_as,
            by=self.person,
            at=now,
        )
        own = self.get_queryset().filter(imported_by=self.person, imported_at=now)
        return Response(_detail(own.latest("pk")), status=HTTPStatus.CREATED)

    @action(detail=False, methods=["post"], url_path="try")
    def trial(self, request: Request) -> Response:
        """Say how a file would be read and what has to be answered; store nothing."""
        asked = self.asked
        assert isinstance(asked, LoggerFileAsked)  # noqa: S101 - see `asks`
        data, name = _file(request, asked)
        looked = look_at_file(
            data=data,
            file_name=name,
            probe_for=probe_for(asked),
            answers=answers(asked),
            mapping=None,
            source_name=asked.source,
        )
        return Response(_trial(looked))


def _file(request: Request, asked: LoggerFileAsked) -> tuple[bytes, str]:
    data, name = file_sent(
        request,
        what="A logger's file",
        most=SIZE_LIMIT_BYTES,
        hint="Export fewer days.",
    )
    return data, asked.file_name or name


def _trial(looked: LoggerFile) -> LoggerFileTrialOut:
    sheet = looked.sheet
    codes = {channel: probe.code for channel, probe in looked.probes if probe}
    return LoggerFileTrialOut(
        file_name=sheet.name,
        rows=len(sheet.rows),
        headings=tuple(map(sheet.label, range(sheet.width))),
        first_rows=tuple(tuple(row) for row in sheet.rows[:FIRST_ROWS]),
        channels={channel: codes.get(channel) for channel in looked.channels},
        read_as=tuple(read_as(looked.mapping, codes)),
        questions=tuple(map(_question, looked.questions)),
        mapping=to_document(looked.mapping),
    )


def _question(question: Question) -> FileQuestionOut:
    return FileQuestionOut(
        asked=question.asked,
        question=ask(question),
        column=question.column,
        choices=question.choices,
        blocking=question.blocking,
        parameter=_parameter(question),
    )


def _parameter(question: Question) -> str:
    match question.asked:
        case Asked.CHANNELS:
            return "probe" if len(question.choices) <= 1 else "channels"
        case Asked.UNIT:
            humid = {Unit.PERCENT.value, Unit.FRACTION.value} & set(question.choices)
            return "humidity_unit" if humid else "temperature_unit"
    return PARAMETERS[question.asked]


def _values(row: ReadingImport) -> dict[str, Any]:
    return {
        "id": row.pk,
        "file_name": row.file_name,
        "sha256": row.sha256,
        "imported_by": str(row.imported_by) if row.imported_by else None,
        "imported_at": row.imported_at,
        "accepted": row.accepted,
        "rows_read": row.rows_read,
        "rows_stored": row.rows_stored,
        "rows_known": row.rows_known,
        "rows_refused": row.rows_refused,
    }


def _detail(row: ReadingImport) -> LoggerFileDetail:
    told = ImportReport.from_document(row.report).lines() if row.report else ()
    return LoggerFileDetail(**_values(row), told=told, report=row.report)
