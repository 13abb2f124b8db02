"""Enclosures, probes, and the files that readings came from."""

from django.contrib import admin

from core.admin import Desk
from core.roles import Permission
from husbandry.models import (
    Enclosure,
    LoggerMapping,
    Probe,
    ReadingImport,
    Setup,
    SightLine,
)


@admin.register(Enclosure)
class EnclosureDesk(Desk[Enclosure]):
    sees = Permission.SEE_CONDITIONS
    list_display = ("code", "room", "kind", "position", "retired_on")
    list_select_related = ("room",)
    list_filter = ("kind", "room")
    search_fields = ("code",)


@admin.register(Setup)
class SetupDesk(Desk[Setup]):
    sees = Permission.SEE_CONDITIONS
    list_display = (
        *("enclosure", "from_on", "width_cm", "depth_cm", "height_cm"),
        *("lights", "lights_on", "lights_off", "laying_bin"),
    )
    list_select_related = ("enclosure",)
    list_filter = ("lights", "laying_bin")
    search_fields = ("enclosure__code",)


@admin.register(SightLine)
class SightLineDesk(Desk[SightLine]):
    sees = Permission.SEE_CONDITIONS
    list_display = ("enclosure", "other", "from_on", "until_on")
    list_select_related = ("enclosure", "other")
    search_fields = ("enclosure__code", "other__code")


@admin.register(Probe)
class ProbeDesk(Desk[Probe]):
    sees = Permission.SEE_CONDITIONS
    list_display = (
        *("code", "enclosure", "zone", "measures_temperature"),
        *("measures_humidity", "measures_uv_index", "interval_s", "retired_on"),
    )
    list_select_related = ("enclosure",)
    list_filter = ("zone",)
    search_fields = ("code", "enclosure__code")


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
