"""Animals, where they stay and what they weigh; all of it is recorded elsewhere."""

from django.contrib import admin

from core.admin import Desk
from core.roles import Permission
from husbandry.models import Animal, ReproductiveSpell, Stay, Weighing


@admin.register(Animal)
class AnimalDesk(Desk[Animal]):
    sees = Permission.SEE_ANIMALS
    list_display = ("code", "name", "species", "sex", "hatched_on", "status")
    list_select_related = ("species",)
    list_filter = ("status", "species", "sex", "origin")
    search_fields = ("code", "name", "microchip")


@admin.register(ReproductiveSpell)
class ReproductiveSpellDesk(Desk[ReproductiveSpell]):
    sees = Permission.SEE_ANIMALS
    list_display = ("animal", "state", "from_on", "until_on", "basis")
    list_select_related = ("animal",)
    list_filter = ("state",)
    search_fields = ("animal__code", "animal__name")


@admin.register(Stay)
class StayDesk(Desk[Stay]):
    sees = Permission.SEE_ANIMALS
    list_display = ("animal", "enclosure", "place", "from_at", "until_at", "moved_by")
    list_select_related = ("animal", "enclosure", "moved_by")
    list_filter = ("enclosure__room",)
    search_fields = ("animal__code", "animal__name", "enclosure__code")


@admin.register(Weighing)
class WeighingDesk(Desk[Weighing]):
    sees = Permission.SEE_ANIMALS
    list_display = ("animal", "at", "mass_g", "recorded_by", "corrects_id")
    list_select_related = ("animal", "recorded_by")
    search_fields = ("animal__code", "animal__name")
    date_hierarchy = "at"
    ordering = ("-at", "-pk")
