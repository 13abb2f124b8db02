"""The back office of the register: for looking; lines are only ever appended."""

from django.contrib import admin

from core.admin import Desk
from core.roles import Permission
from placements.models import RegisterEntry


@admin.register(RegisterEntry)
class RegisterEntryDesk(Desk[RegisterEntry]):
    # Each line points at the home.
    sees = Permission.SEE_HOMES
    list_display = ("number", "on", "direction", "how", "animal_code", "home")
    list_select_related = ("home",)
    list_filter = ("direction", "how")
    search_fields = ("animal_code", "scientific_name")
    date_hierarchy = "on"
