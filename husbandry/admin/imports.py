"""The files that readings came from, and how the files of each source are read."""

from django.contrib import admin

from core.admin import Desk
from core.roles import Permission
from husbandry.models import LoggerMapping, ReadingImport


@admin.register(LoggerMapping)
class LoggerMappingDesk(Desk[LoggerMapping]):
    sees = Permission.SEE_CONDITIONS
    list_display = ("name", "saved_by", "saved_at")
    list_select_related = ("saved_by",)
    search_fields = ("name",)


@admin.register(ReadingImport)
class ReadingImportDesk(Desk[ReadingImport]):
    sees = Permission.SEE_CONDITIONS
    list_display = (
        *("file_name", "imported_at", "imported_by", "accepted"),
        *("rows_read", "rows_stored", "rows_known", "rows_refused"),
    )
    list_select_related = ("imported_by",)
    list_filter = ("accepted",)
    search_fields = ("file_name", "sha256")
