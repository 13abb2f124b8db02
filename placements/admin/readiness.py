"""The back office of homes' enclosures: looked at; they are judged on their pages."""

from django.contrib import admin

from core.admin import Desk
from core.roles import Permission
from placements.models import HomeEnclosure, HomeReading, ReadinessReview


@admin.register(HomeEnclosure)
class HomeEnclosureDesk(Desk[HomeEnclosure]):
    sees = Permission.SEE_HOMES
    list_display = (
        *("home", "label", "kind", "width_cm", "depth_cm", "height_cm", "uvb_lamp"),
        "recorded_at",
    )
    list_select_related = ("home",)
    list_filter = ("kind", "uvb_lamp")


@admin.register(HomeReading)
class HomeReadingDesk(Desk[HomeReading]):
    sees = Permission.SEE_HOMES
    list_display = ("enclosure", "zone", "quantity", "at", "value_milli", "file_name")
    list_select_related = ("enclosure__home",)
    list_filter = ("zone", "quantity")


@admin.register(ReadinessReview)
class ReadinessReviewDesk(Desk[ReadinessReview]):
    sees = Permission.SEE_HOMES
    list_display = ("enclosure", "animal", "species", "sex", "on", "outcome")
    list_select_related = ("enclosure__home", "animal", "species")
    list_filter = ("outcome",)
    search_fields = ("animal__code",)
