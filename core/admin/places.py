"""The organisation, its sites and rooms: plain reference data."""

from typing import Any

from django.contrib import admin
from django.http import HttpRequest
from django.utils import timezone

from core.actions import add_room, add_site, name_organisation
from core.admin.desks import WritingDesk, person
from core.models import Organisation, Room, Site
from core.roles import Permission


@admin.register(Organisation)
class OrganisationDesk(WritingDesk[Organisation]):
    sees = Permission.SEE_ANIMALS
    adds = changes = Permission.EDIT_PLACES

    def has_add_permission(self, request: HttpRequest) -> bool:
        return super().has_add_permission(request) and not Organisation.objects.exists()

    def keep(self, request: HttpRequest, row: Organisation, form: Any) -> Organisation:
        return name_organisation(
            name=row.name, contact=row.contact, by=person(request), at=timezone.now()
        )


@admin.register(Site)
class SiteDesk(WritingDesk[Site]):
    sees = Permission.SEE_ANIMALS
    adds = changes = Permission.EDIT_PLACES
    # Nights were cut by its clock and its sun: a place elsewhere is another site.
    fixed = ("code", "time_zone", "latitude_deg", "longitude_deg")
    list_display = ("name", "code", "time_zone", "latitude_deg", "longitude_deg")
    search_fields = ("code", "name")

    def keep(self, request: HttpRequest, row: Site, form: Any) -> Site:
        if row.pk:
            return super().keep(request, row, form)
        return add_site(
            code=row.code,
            name=row.name,
            time_zone=row.time_zone,
            latitude_deg=row.latitude_deg,
            longitude_deg=row.longitude_deg,
            by=person(request),
            at=timezone.now(),
        )


@admin.register(Room)
class RoomDesk(WritingDesk[Room]):
    sees = Permission.SEE_ANIMALS
    adds = changes = Permission.EDIT_PLACES
    fixed = ("site", "code")
    list_display = ("name", "code", "site", "position", "quarantine")
    list_select_related = ("site",)
    list_filter = ("site", "quarantine")
    search_fields = ("code", "name")

    def keep(self, request: HttpRequest, row: Room, form: Any) -> Room:
        if row.pk:
            return super().keep(request, row, form)
        return add_room(
            site=row.site,
            code=row.code,
            name=row.name,
            position=row.position,
            quarantine=row.quarantine,
            by=person(request),
            at=timezone.now(),
        )
