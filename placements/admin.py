"""The back office of placements: everything on record; placing goes over actions."""

from django.contrib import admin

from core.admin import Desk
from core.roles import Permission
from placements.models import Home, Packet, Placement


@admin.register(Home)
class HomeDesk(Desk[Home]):
    sees = Permission.SEE_HOMES
    list_display = ("name", "contact")
    search_fields = ("name", "contact")


@admin.register(Placement)
class PlacementDesk(Desk[Placement]):
    sees = Permission.SEE_PLACEMENTS
    list_display = ("animal", "home", "kind", "state", "planned_on", "handed_over_on")
    list_select_related = ("animal", "home")
    list_filter = ("state", "kind")
    search_fields = ("animal__code", "animal__name", "home__name")


@admin.register(Packet)
class PacketDesk(Desk[Packet]):
    sees = Permission.SEE_PLACEMENTS
    list_display = ("number", "animal", "version", "made_at", "made_by")
    list_select_related = ("placement__animal", "made_by")
    search_fields = ("number", "placement__animal__code")

    @admin.display(description="animal")
    def animal(self, row: Packet) -> str:
        return str(row.placement.animal)
