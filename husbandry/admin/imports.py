"""The files that readings come from, and how the files of each source are read."""

from datetime import datetime
from typing import TYPE_CHECKING, Any

from django import forms
from django.contrib import admin
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from core.admin import DayField, Desk, Given, RecordDesk, RecordForm
from core.errors import DomainError
from core.models import User
from core.roles import Permission
from husbandry.actions.imports import import_logger_file
from husbandry.models import LoggerMapping, Probe, ReadingImport
from husbandry.rules.import_answers import Answers, FileUndecidedError
from husbandry.rules.import_reports import ImportReport
from husbandry.rules.loggers.sheet import SIZE_LIMIT_BYTES
from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.vocabulary import DayOrder, Unit, Untrusted, facts

if TYPE_CHECKING:
    from django.core.files.uploadedfile import UploadedFile

NOT_SAID = ("", "As the file says")


@admin.register(LoggerMapping)
class LoggerMappingDesk(Desk[LoggerMapping]):
    sees = Permission.SEE_CONDITIONS
    list_display = ("name", "saved_by", "saved_at")
    list_select_related = ("saved_by",)
    search_fields = ("name",)


class FileForm(RecordForm[ReadingImport]):
    """A logger's file of one probe, and what it does not say itself."""

    file = forms.FileField(
        help_text="CSV, text or .xlsx, as the logger wrote it. A file of several "
        "probes: ./dev manage import_readings."
    )
    probe = forms.ModelChoiceField(
        Probe.objects.select_related("enclosure__room__site"),
        help_text="The probe that wrote it.",
    )
    day_order = forms.ChoiceField(
        choices=[NOT_SAID, (DayOrder.DMY, "day first"), (DayOrder.MDY, "month first")],
        required=False,
        label="Order in dates",
    )
    temperature_unit = forms.ChoiceField(
        choices=[NOT_SAID, (Unit.C, "°C"), (Unit.F, "°F")], required=False
    )
    humidity_unit = forms.ChoiceField(
        choices=[NOT_SAID, (Unit.PERCENT, "%"), (Unit.FRACTION, "0 to 1")],
        required=False,
    )
    zone = forms.CharField(
        required=False,
        label="Clock of the logger",
        help_text="site, an offset such as +01:00, or a zone such as Europe/Lisbon.",
    )
    starts_on = DayField(
        required=False,
        label="Day of the first row",
        help_text="Only where its rows have times and no dates.",
    )

    class Meta:
        model = ReadingImport
        fields = ()

    def clean_file(self) -> "UploadedFile[bytes]":
        """Refuse what is too large before it is read into memory."""
        file: UploadedFile[bytes] = self.cleaned_data["file"]
        size = file.size or 0
        if size > SIZE_LIMIT_BYTES:
            named = facts(size=size, limit=SIZE_LIMIT_BYTES)
            raise ValidationError(
                UntrustedFileError(Untrusted.TOO_LARGE, named).sentence
            )
        return file


@admin.register(ReadingImport)
class ReadingImportDesk(RecordDesk[ReadingImport]):
    """Takes in a file; what became of its rows is what is shown of it."""

    sees = Permission.SEE_CONDITIONS
    adds = Permission.RECORD_READINGS
    adding = FileForm
    list_display = (
        *("file_name", "imported_at", "imported_by", "accepted"),
        *("rows_read", "rows_stored", "rows_known", "rows_refused"),
    )
    list_select_related = ("imported_by",)
    list_filter = ("accepted",)
    search_fields = ("file_name", "sha256")

    def told(self) -> list[str]:
        return [*(name for name in super().told() if name != "report"), "outcome"]

    @admin.display(description="What became of it")
    def outcome(self, row: ReadingImport) -> SafeString:
        lines = ImportReport.from_document(row.report).lines() if row.report else ()
        listed = format_html_join("", "<li>{}</li>", ((line,) for line in lines))
        return format_html("<ul>{}</ul>", listed)

    def add(self, given: Given, *, by: User, at: datetime) -> ReadingImport:
        file: UploadedFile[bytes] = given["file"]
        try:
            import_logger_file(
                data=file.read(),
                file_name=file.name or "file",
                probe_for={"": given["probe"]},
                answers=_answers(given),
                by=by,
                at=at,
            )
        except FileUndecidedError as error:
            raise DomainError(
                "\n".join(
                    (
                        "Nothing was taken yet, because the file does not say enough. "
                        "Answer below and choose the file again:",
                        *error.fields.values(),
                    )
                )
            ) from error
        return ReadingImport.objects.filter(imported_by=by, imported_at=at).latest("pk")

    def response_add(
        self,
        request: HttpRequest,
        obj: ReadingImport,
        post_url_continue: str | None = None,
    ) -> HttpResponse:
        """Show what became of the rows at once; that is what one wants to know."""
        return redirect("admin:husbandry_readingimport_change", obj.pk)


def _answers(given: dict[str, Any]) -> Answers:
    units = (given["temperature_unit"], given["humidity_unit"])
    return Answers(
        day_order=DayOrder(given["day_order"]) if given["day_order"] else None,
        units=tuple(Unit(unit) for unit in units if unit),
        zone=given["zone"],
        starts_on=given["starts_on"],
    )
