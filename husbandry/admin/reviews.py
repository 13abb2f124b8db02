"""The nights: runs, sightings, findings and what people said of them."""

from django.contrib import admin

from core.admin import Desk
from core.roles import Permission
from husbandry.models import Acknowledgement, Finding, ReviewRun, Sighting


@admin.register(ReviewRun)
class ReviewRunDesk(Desk[ReviewRun]):
    sees = Permission.SEE_FINDINGS
    list_display = (
        *("on", "site", "state", "started_at", "animals", "probes"),
        *("coverage", "findings", "duration_ms", "stale_since"),
    )
    list_select_related = ("site",)
    list_filter = ("state", "site")
    search_fields = ("site__code", "site__name")


@admin.register(Sighting)
class SightingDesk(Desk[Sighting]):
    sees = Permission.SEE_FINDINGS
    list_display = ("on", "site", "kind", "seen", "urgency", "animal", "enclosure")
    list_select_related = ("site", "animal", "enclosure")
    list_filter = ("seen", "urgency", "kind", "site")
    search_fields = ("key", "animal__code", "enclosure__code")


@admin.register(Finding)
class FindingDesk(Desk[Finding]):
    sees = Permission.SEE_FINDINGS
    list_display = (
        *("kind", "urgency", "animal", "enclosure", "probe"),
        *("opened_on", "last_seen_on", "closed_on", "withdrawn_on", "nights_seen"),
    )
    list_select_related = ("animal", "enclosure", "probe")
    list_filter = ("urgency", "kind", "site")
    search_fields = ("key", "animal__code", "enclosure__code", "probe__code")


@admin.register(Acknowledgement)
class AcknowledgementDesk(Desk[Acknowledgement]):
    sees = Permission.SEE_FINDINGS
    list_display = ("at", "by", "about", "note", "quiet_until")
    list_select_related = ("by", "finding__animal")
    search_fields = ("note", "finding__key")

    @admin.display(description="finding")
    def about(self, row: Acknowledgement) -> str:
        return str(row.finding)
